// Names the web manifest to the browser, which asks for it at once. From a disk it may
// not be asked for, so the link isn't in the page itself.
'use strict';

(() => {
  if (location.protocol === 'file:') return;
  const link = document.createElement('link');
  link.rel = 'manifest';
  link.href = 'manifest.webmanifest';
  document.head.append(link);
})();
