// Plays a video in the page once it is asked for, and finds what is seen at the second that the address names.
(function () {
  'use strict';

  const videos = [...document.querySelectorAll('.watch')];
  const marksOf = (video) => [...video.querySelectorAll('[data-at]')];
  let first = 0; // the second that the address names, for the video that it means
  let meant;

  // 252, 252s, 4m12s, 1h2m3s, 4:12 and 1:02:03 are seconds; anything else isn't.
  function seconds(text) {
    const m = /^(?:(\d{1,2})h)?(?:(\d{1,3})m)?(?:(\d{1,5})s?)?$/.exec(text) || /^(?:(\d{1,2}):)?(\d{1,3}):(\d\d)$/.exec(text);
    return text && m ? (m[1] || 0) * 3600 + (m[2] || 0) * 60 + +(m[3] || 0) : NaN;
  }

  function play(video, at) {
    const poster = video.querySelector('[data-player]');
    const box = video.querySelector('.player');
    let frame = box.querySelector('iframe');
    const from = poster || frame;
    const { player, start } = from.dataset;
    if (!frame) {
      frame = document.createElement('iframe');
      Object.assign(frame.dataset, { player, start });
      Object.assign(frame, { title: video.querySelector('h3').textContent, allow: 'autoplay; fullscreen; picture-in-picture', allowFullscreen: true, referrerPolicy: 'strict-origin-when-cross-origin' });
    }
    frame.src = player + (at ? start.replace('%', at) : '');
    if (poster) poster.replaceWith(frame);
    frame.focus();
  }

  // A page on a disk can't say where it is, as players ask: there the links lead to the video. So they do with a key held.
  if (location.protocol !== 'file:') {
    for (const video of videos) {
      if (!video.querySelector('[data-player]')) continue;
      video.addEventListener('click', (e) => {
        const link = e.target.closest('.poster, .at');
        if (!link || e.button || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
        e.preventDefault();
        play(video, link.dataset.at ? +link.dataset.at : video === meant ? first : 0);
      });
    }
  }

  function find() {
    const asked = new URLSearchParams(location.search);
    const hash = /^#t=([^&]+)$/.exec(location.hash);
    const at = seconds(hash ? hash[1] : asked.get('t') || '');
    const name = asked.get('video');
    const video = name ? videos.find((v) => v.id === 'video-' + name) : videos[0];
    if (isNaN(at) || !video || (location.hash && !hash)) return;
    first = at;
    meant = video;
    document.querySelectorAll('.seen-now').forEach((n) => n.classList.remove('seen-now'));
    const mark = marksOf(video).filter((m) => +m.dataset.at <= at).pop();
    let place = video;
    if (mark) {
      const row = mark.parentNode;
      const thing = document.getElementById(row.lastElementChild.hash.slice(1));
      place = thing ? thing.closest('.runs tbody, .thermals tbody') || thing.closest('tr, li, .functions > div') || thing : row;
      row.classList.add('seen-now');
    }
    place.classList.add('seen-now');
    place.scrollIntoView({ behavior: 'instant', block: 'center' });
  }

  find();
  addEventListener('hashchange', find);
})();
