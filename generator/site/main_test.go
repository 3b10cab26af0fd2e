package site

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// What tests of this package share is made once, by the first that asks: the demo in a folder, and a Chromium, in which
// each test has a tab and a profile of its own.
var (
	sharedFolder = sync.OnceValues(func() (string, error) {
		s, outputs := demo()
		dir, err := os.MkdirTemp("", "published-")
		if err != nil {
			return "", err
		}
		atEnd(func() error {
			defer os.RemoveAll(dir)
			return unchanged(dir, outputs)
		})
		_, err = s.Publish(dir, outputs)
		return dir, err
	})
	sharedBrowser = sync.OnceValues(func() (ctx context.Context, err error) {
		for range 3 { // one start of some hundreds ends at once
			if ctx, err = startBrowser(); err == nil {
				break
			}
		}
		return ctx, err
	})
)

var ends struct {
	sync.Mutex
	all []func() error
}

// atEnd has something done after the last test.
func atEnd(do func() error) {
	ends.Lock()
	defer ends.Unlock()
	ends.all = append(ends.all, do)
}

func TestMain(m *testing.M) {
	status := m.Run()
	for _, end := range ends.all {
		if err := end(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			status = 1
		}
	}
	os.Exit(status)
}

// unchanged finds what a test did to the folder that all share.
func unchanged(dir string, outputs []Output) error {
	for _, o := range outputs {
		if data, err := os.ReadFile(filepath.Join(dir, o.Path)); err != nil || string(data) != string(o.Bytes) {
			return fmt.Errorf("a test changed %s in the folder that all share (%v)", o.Path, err)
		}
	}
	n := 0
	err := filepath.WalkDir(dir, func(_ string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			n++
		}
		return err
	})
	if err == nil && n != len(outputs)+1 { // and the manifest
		err = fmt.Errorf("a test put something into the folder that all share: %d files, not %d", n, len(outputs)+1)
	}
	return err
}

// published is the demo in a folder that all tests share: they only read it.
func published(t *testing.T) (*Site, string) {
	t.Helper()
	dir, err := sharedFolder()
	if err != nil {
		t.Fatal(err)
	}
	s, _ := demo()
	return s, dir
}

// browserPath looks where .ci/setup puts Chromium.
func browserPath() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if found, err := exec.LookPath(name); err == nil {
			return found
		}
	}
	return ""
}

// startBrowser starts Chromium with a fresh profile. No request leaves the machine: every other host is not found.
func startBrowser() (context.Context, error) {
	profile, err := os.MkdirTemp("", "profile-")
	if err != nil {
		return nil, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.ExecPath(browserPath()),
		chromedp.UserDataDir(profile), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocator)
	atEnd(func() error {
		cancel()
		stop()
		return os.RemoveAll(profile)
	})
	return ctx, chromedp.Do(ctx)
}

// inBrowser opens a tab with a profile of its own, as fresh as that of a Chromium just started. Where there is none the
// test is skipped, but not where changes are checked.
func inBrowser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("another program: left out in short runs")
	}
	if browserPath() == "" && os.Getenv("CI") == "true" {
		t.Fatal("Chromium is needed: sh .ci/setup installs it")
	} else if browserPath() == "" {
		t.Skip("Chromium is not installed: sh .ci/setup installs it")
	}
	browser, err := sharedBrowser()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	limited, done := context.WithTimeout(ctx, 10*time.Minute)
	t.Cleanup(done)
	// Several tests have tabs at once; each shall be as the one that the reader is at.
	if _, err := chromedp.Call(limited, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}); err != nil {
		t.Fatal(err)
	}
	return limited
}
