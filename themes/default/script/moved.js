// Leads from an old address to the new one with the place in the page: run r3 is at #run-r3 of both. Without a place the page leads on by itself.
(function () {
  'use strict';

  const link = document.querySelector('a[data-moved]');
  if (!link || !location.hash) return;
  link.hash = location.hash;
  location.replace(link.href);
}());
