package preview

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// workerRun runs the worker against a clock and streams of its own. A stream that says nothing has ended without a word,
// as when a machine slept: it is asked for again, and the pages say that they aren't kept current until it is there.
const workerRun = `
const vm = require('node:vm'), fs = require('node:fs'), assert = require('node:assert');
let now = 0, last = 0;
const timers = new Map(), streams = [], heard = [];
class EventSource {
  constructor(url) { this.url = url; this.closed = false; streams.push(this); }
  close() { this.closed = true; }
}
const self = { onconnect: null };
vm.runInNewContext(fs.readFileSync(process.argv[2], 'utf8'), {
  self, EventSource, URLSearchParams, JSON, Map, Object,
  setTimeout: (act, wait) => { timers.set(++last, { at: now + wait, act }); return last; },
  clearTimeout: (id) => timers.delete(id),
});
function pass(ms) {
  for (const end = now + ms; ;) {
    const [id, next] = [...timers].filter(([, t]) => t.at <= end).sort(([, a], [, b]) => a.at - b.at)[0] || [];
    if (!next) { now = end; return; }
    timers.delete(id);
    now = next.at;
    next.act();
  }
}
const port = { postMessage: (m) => heard.push(m) };
self.onconnect({ ports: [port] });
port.onmessage({ data: { page: 'index.html', have: 'a', look: 'b', beside: [] } });
pass(10);
assert.equal(streams.length, 1);
streams[0].onopen();
for (let n = 0; n < 20; n++) {
  pass(15000);
  streams[0].onmessage({ data: '{}' });
}
assert.equal(streams.length, 1, 'a stream that tells that it is there was asked for again');
assert.deepEqual(heard, []);
pass(39000);
assert.equal(streams.length, 1);
pass(2000);
assert.ok(streams[0].closed && streams.length === 2, 'a silent stream is not asked for again');
pass(2000);
assert.deepEqual(heard, [{ lost: true }]);
streams[1].onopen();
assert.deepEqual(heard, [{ lost: true }, { lost: false }]);
streams[1].onerror();
pass(600);
assert.equal(streams.length, 3);
port.onmessage({ data: { bye: true } });
pass(100000);
assert.equal(streams.length, 3, 'no page is open, but a stream is asked for');
`

func TestSilentStreamIsAskedForAgain(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil && os.Getenv("CI") != "true" {
		t.Skip("node is not installed")
	} else if err != nil {
		t.Fatal(err)
	}
	run := filepath.Join(t.TempDir(), "run.js")
	must(t, write(run, workerRun))
	if out, err := exec.Command(node, run, filepath.Join("page", "worker.js")).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
