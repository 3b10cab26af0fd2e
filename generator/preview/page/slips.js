// The first part of the preview's script: notes, from the page's first line on, what its scripts do wrong, what its policy
// refuses and which files aren't there. page.js, the second part, shows that when the page has been read.
(function () {
  'use strict';

  const tag = document.currentScript;
  const slips = tag.slips = []; // as page.js lists problems
  const MOST = 20; // a mistake may come with every frame that is drawn
  tag.heard = null; // the second part sets what is called when there is another

  // own gives the path of a file of the site; nothing for the preview's own, and for those of a browser's extensions.
  function own(address) {
    let at = null;
    try { at = new URL(address, location); } catch { return ''; }
    if (at.origin !== location.origin || at.pathname.startsWith('/.preview/')) return '';
    const path = at.pathname.slice(1) || 'index.html';
    try { return decodeURIComponent(path); } catch { return path; } // a % of its own
  }

  // A theme's script is published under a name with a digest in it, with the bytes that it has in the theme.
  function note(path, line, column, summary, more) {
    const [, name] = /^assets\/([^/]+)\.[0-9a-f]{8}\.js$/.exec(path) || [];
    const hint = name && name !== 'echarts' ? `published as ${path}; ${more}` : more;
    const slip = { File: name && name !== 'echarts' ? `script/${name}.js` : path, Line: line, Column: column, Summary: summary, Hint: hint };
    if (slips.length >= MOST || slips.some((one) => JSON.stringify(one) === JSON.stringify(slip))) return;
    slips.push(slip);
    if (tag.heard) tag.heard();
  }

  const COPY = 'a theme’s own file stands in its folder, else it is the built-in one';

  addEventListener('error', (event) => {
    if (event.target !== window || !event.filename) return;
    if (!event.error && /^ResizeObserver loop/.test(event.message)) return; // what changed size is told of in the next frame
    const path = own(event.filename);
    if (path) note(path, event.lineno, event.colno, String(event.message), COPY);
  });

  // What a promise was rejected with says where it was made, if it is an error.
  addEventListener('unhandledrejection', ({ reason }) => {
    const stack = reason instanceof Error ? String(reason.stack) : '';
    for (const [, address, line, column] of stack.matchAll(/(https?:\/\/[^\s()]+?):(\d+):(\d+)/g)) {
      const path = own(address);
      if (path) return note(path, +line, +column, `Uncaught (in a promise) ${reason}`, COPY);
    }
    if (!stack.includes('://')) note('', 0, 0, `Uncaught (in a promise) ${reason}`, 'what is rejected with an Error says where');
  });

  document.addEventListener('securitypolicyviolation', (event) => {
    const path = own(event.sourceFile || location.href);
    if (!path) return;
    const what = event.blockedURI.includes(':') ? event.blockedURI : `what is ${event.blockedURI || 'inline'} in the page`;
    note(path, event.lineNumber, event.columnNumber, `the page’s policy refuses ${what} (${event.effectiveDirective})`, 'published pages have the same policy: styles and scripts stand in files of the theme, and nothing comes from elsewhere');
  });

  // Files that the page asked for in vain, also before this script. It looks once the page has been painted, as nothing waits
  // for that. Of files elsewhere the policy tells. A page that says what isn't there is no stylesheet, and counts as no
  // answer at all. What browsers ask for by themselves, such as an icon, is no mistake of the page.
  performance.setResourceTimingBufferSize(10000); // by itself a browser keeps 250
  const ASKED = { img: 'a picture', script: 'a script', link: 'a stylesheet', css: 'part of a stylesheet', iframe: 'a frame', video: 'a video', audio: 'a sound' };
  const watch = new PerformanceObserver((list) => {
    for (const { name, responseStatus, initiatorType: by } of list.getEntries()) {
      const gone = responseStatus >= 400 || by === 'link' && responseStatus === 0;
      const path = gone && ASKED[by] && own(name);
      if (path) note(path, 0, 0, 'this file isn’t there: the page asks for it as ' + ASKED[by], 'an address in a template counts from the page that it ends up in; a theme’s own files have a digest in their names');
    }
  });
  addEventListener('load', () => setTimeout(() => watch.observe({ type: 'resource', buffered: true })));
})();
