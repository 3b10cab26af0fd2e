// Holds the one stream of events for all pages of the preview that are open in this browser: a browser allows a server
// six connections, so a stream for each page would leave the seventh waiting. A page's policy lets it hold none at all;
// this worker has a policy of its own. As a shared worker it serves all pages; where a browser has no shared workers,
// each page has one of its own, which lets go of the stream while the page is hidden.
(function () {
  'use strict';

  const AGAIN = 500; // milliseconds until a lost stream is asked for again
  const LOST = 2000; // how long the stream may be away before the pages say so
  const SILENT = 40000; // how long a stream may say nothing: it tells every 15 seconds that it is there
  const pages = new Map(); // by number: { port, page, have, look, beside, known }, known being digests by the paths in beside
  let next = 1, stream = null, opening = 0, losing = 0, silent = 0, lost = false, hidden = false;

  function tell(message) {
    for (const { port } of pages.values()) port.postMessage(message);
  }

  // open asks for the events of all pages that are known now.
  function open() {
    opening = 0;
    clearTimeout(silent);
    if (stream) stream.close();
    stream = null;
    if (!pages.size || hidden) return;
    const query = new URLSearchParams();
    for (const [id, p] of pages) {
      query.append('p', [id, p.have, p.look, p.page].join(','));
      for (const path of p.beside) query.append('b', [id, p.known[path] || '', path].join(','));
    }
    const mine = stream = new EventSource('events?' + query);
    const gone = () => {
      if (stream !== mine) return;
      mine.close();
      losing ||= setTimeout(() => tell({ lost: lost = true }), LOST);
      soon(AGAIN);
    };
    const heard = () => {
      clearTimeout(silent);
      silent = setTimeout(gone, SILENT);
    };
    heard();
    mine.onopen = () => {
      heard();
      clearTimeout(losing);
      losing = 0;
      if (lost) tell({ lost: lost = false });
    };
    mine.onerror = gone;
    mine.onmessage = (event) => {
      if (stream !== mine) return;
      heard();
      pass(JSON.parse(event.data));
    };
  }

  function soon(wait) {
    clearTimeout(opening);
    opening = setTimeout(open, wait);
  }

  // pass gives each page what is news for it.
  function pass(news) {
    for (const [id, p] of pages) {
      const page = news.pages && news.pages[id];
      if (page && page.beside) Object.assign(p.known, page.beside);
      if (page && page.have) Object.assign(p, { have: page.have, look: page.look });
      if (page || news.problems) p.port.postMessage({ problems: news.problems, page });
    }
  }

  function connect(port) {
    const id = next++;
    port.onmessage = ({ data }) => {
      if (data.page) pages.set(id, { port, known: {}, ...pages.get(id), ...data });
      if (data.bye) pages.delete(id);
      if ('hidden' in data) hidden = data.hidden;
      if (lost && data.page) port.postMessage({ lost });
      soon(0);
    };
  }

  if ('onconnect' in self) self.onconnect = (event) => connect(event.ports[0]);
  else connect(self);
})();
