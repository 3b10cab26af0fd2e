package main

import (
	"bufio"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"wattsheet/generator/capture"
	"wattsheet/generator/disk"
	"wattsheet/generator/sheet"
)

func signalCommand() *command {
	c := &command{
		name: "signal", does: "write a test tone as WAV, and a text of what it contains", takes: `sine|steps|burst|sweep FILE.wav --level L [--full V]
       [--freq HZ] [--seconds S] [--rate N] [--bits N] [--plain] [--sides WORD]
       [--fade MS] [--from L] [--step DB] [--burst MS] [--every MS] [--rest DB]
       [--to HZ] [--replace]`,
		about: `Writes a signal for the bench: a sine at one level, a sine whose level rises in
steps, bursts over a lower level, or a sine that sweeps evenly in octaves.
Beside FILE.wav it writes FILE.txt: exact levels, and from when to when each
lasts. All levels fade into each other, and the file begins and ends in silence.
The same words give the same bytes each time.

A level is in decibels at full scale, such as -20: 0 is a sine whose peaks reach
it. Or it is in volts, such as 0.5V: then --full says what the player gives at
0, as rms volts of a sine.

` + strings.Join(sheet.Wrap(capture.SignalCaution, 80), "\n"),
		flags: []option{
			{"level", "L", "how loud it gets: -20 for dBFS, or 0.5V; it has to be given"},
			{"full", "V", "rms volts that the player gives for a sine at full scale"},
			{"freq", "HZ", "frequency, 1000 if not given; where a sweep begins, 20"},
			{"seconds", "S", "how long it lasts: 30, bursts and sweeps 20, each step 1"},
			{"rate", "N", "samples a second; 48000 if not given"},
			{"bits", "N", "16, 24, or 32 for floats; 24 if not given"},
			{"plain", "", "round the samples without dither"},
			{"sides", "WORD", "mono (if not given), both, left or right of two channels"},
			{"fade", "MS", "from one level to the next; 5 if not given, bursts 1"},
			{"from", "L", "steps: where they begin; 40 dB below --level if not given"},
			{"step", "DB", "steps: from one to the next; 1 if not given"},
			{"burst", "MS", "length of a burst; 20 if not given"},
			{"every", "MS", "from one burst's start to the next; 500 if not given"},
			{"rest", "DB", "bursts: how far below them it is in between; 20 if not given"},
			{"to", "HZ", "where a sweep ends; 20000 if not given"},
			{"replace", "", "write over a file of that name"},
		},
		examples: []string{
			"wattsheet signal sine tone.wav --level -20",
			"wattsheet signal steps steps.wav --level 1V --full 2 --step 0.5",
			"wattsheet signal burst b.wav --level -12 --freq 50 --burst 400 --every 2000",
			"wattsheet signal sweep sweep.wav --level -30 --freq 10 --to 200 --sides left",
		},
	}
	c.run = func(u *ui, args []string) int { return runSignal(u, c, args) }
	return c
}

func runSignal(u *ui, c *command, args []string) int {
	values := map[string]*string{}
	for _, o := range c.flags {
		values[o.name] = new(string)
	}
	words, status, ok := c.read(u, args, values, 2)
	if !ok {
		return status
	}
	given := func(name string) string { return *values[name] }
	if len(words) == 2 && !strings.HasSuffix(strings.ToLower(words[1]), ".wav") {
		return u.misused(fmt.Errorf("%s is no name of a WAV file\nhint: end it with .wav; its text goes beside it", words[1]))
	}
	if len(words) < 2 {
		return u.misused(errors.New("signal needs a kind and a file\nhint: wattsheet signal sine tone.wav --level -20; the kinds are sine, steps, burst and sweep"))
	}
	wanted, full, err := signalWanted(words[0], given)
	if err != nil {
		return u.misused(err)
	}
	sound, err := signalSound(given)
	if err != nil {
		return u.misused(err)
	}
	s, err := capture.NewSignal(wanted)
	if err != nil {
		return u.misused(withHint(err))
	}
	return u.signalled(s, sound, words[1], full, given("replace") != "")
}

// withHint is a problem of a capture as this program says errors.
func withHint(err error) error {
	if p := (*capture.Problem)(nil); errors.As(err, &p) && p.Hint != "" {
		return fmt.Errorf("%w\nhint: %s", err, p.Hint)
	}
	return err
}

// signalWanted reads what the flags say of the signal itself, and full scale in volts.
func signalWanted(kind string, given func(string) string) (w capture.Wanted, full float64, err error) {
	w.Kind = kind
	freq, seconds, fade := 1000.0, 30.0, 5.0
	switch kind {
	case "steps":
		seconds = 1
	case "burst":
		seconds, fade = 20, 1
	case "sweep":
		freq, seconds = 20, 20
	}
	take := func(name string, usual, scale float64) float64 {
		x, wrong := numberOf(name, given(name), usual)
		err = cmp.Or(err, wrong)
		return x * scale
	}
	if full = take("full", 0, 1); err == nil && given("full") != "" && !(full > 0 && full <= 1000) {
		err = fmt.Errorf("--full is %q, which is no voltage at full scale\nhint: state rms volts, such as 2", given("full"))
	}
	w.Freq, w.To, w.Length = take("freq", freq, 1), take("to", 20000, 1), take("seconds", seconds, 1)
	w.Fade, w.Burst, w.Every = take("fade", fade, 1e-3), take("burst", 20, 1e-3), take("every", 500, 1e-3)
	w.Step, w.Rest = take("step", 1, 1), take("rest", 20, 1)
	w.Rate = int(take("rate", 48000, 1))
	if err != nil {
		return w, full, err
	}
	if given("level") == "" {
		return w, full, errors.New("signal needs a level\nhint: --level -40 is quiet and a fair beginning; 0 would be full scale")
	}
	if w.Level, err = levelOf("level", given("level"), full); err != nil {
		return w, full, err
	}
	w.From = w.Level - 40
	if given("from") != "" {
		w.From, err = levelOf("from", given("from"), full)
	}
	return w, full, cmp.Or(err, strangeToKind(kind, given))
}

// strangeToKind is the error for a flag that says nothing about this kind of signal.
func strangeToKind(kind string, given func(string) string) error {
	for _, of := range [...]struct{ kind, flags string }{{"steps", "from step"}, {"burst", "burst every rest"}, {"sweep", "to"}} {
		for _, name := range strings.Fields(of.flags) {
			if of.kind != kind && given(name) != "" {
				return fmt.Errorf("%s takes no --%s\nhint: it belongs to %s", kind, name, of.kind)
			}
		}
	}
	return nil
}

// numberOf reads the number of a flag.
func numberOf(name, text string, usual float64) (float64, error) {
	if text == "" {
		return usual, nil
	}
	x, err := strconv.ParseFloat(strings.Replace(text, "−", "-", 1), 64)
	if err != nil {
		return 0, fmt.Errorf("--%s is %q, which is no number\nhint: write it with a decimal point and without a unit", name, text)
	}
	return x, nil
}

// levelOf reads a level in decibels, or in volts where full scale is known in volts.
func levelOf(name, text string, full float64) (float64, error) {
	volts, inVolts := strings.CutSuffix(strings.TrimSpace(text), "V")
	if !inVolts {
		x, err := numberOf(name, text, 0)
		if err != nil {
			err = fmt.Errorf("--%s is %q, which is no level\nhint: -20 are decibels at full scale; 0.5V are volts", name, text)
		}
		return x, err
	}
	x, err := numberOf(name, strings.TrimSpace(volts), 0)
	switch {
	case err != nil || !(x > 0):
		return 0, fmt.Errorf("--%s is %q, which is no voltage\nhint: write it as 0.5V", name, text)
	case full == 0:
		return 0, fmt.Errorf("--%s is in volts, but what full scale gives isn't known\nhint: measure the player's output with a quiet sine and a meter, and state by --full the rms volts at 0 dBFS", name)
	case x >= full:
		return 0, fmt.Errorf("--%s is %q, but --full says that the player gives %gV at most\nhint: name less, and begin low, such as at %gV", name, text, full, full/100)
	}
	return capture.Decibels(x, full), nil
}

// A sound is how the samples are written.
type sound struct {
	coding capture.Coding
	sides  string
}

func signalSound(given func(string) string) (sound, error) {
	s := sound{coding: capture.Coding{Bits: 24, Dither: true}, sides: cmp.Or(given("sides"), "mono")}
	switch given("bits") {
	case "", "24":
	case "16":
		s.coding.Bits = 16
	case "32":
		s.coding = capture.Coding{Bits: 32, Float: true}
	default:
		return s, fmt.Errorf("--bits is %q\nhint: 16 and 24 bits are there, and 32 for floats", given("bits"))
	}
	if given("plain") != "" {
		s.coding.Dither = false
	}
	if _, known := capture.Sides[s.sides]; !known {
		return s, fmt.Errorf("--sides is %q\nhint: mono, both, left or right", s.sides)
	}
	return s, nil
}

// signalled writes both files, or none, and says what they are.
func (u *ui) signalled(s *capture.Signal, how sound, name string, full float64, replace bool) int {
	beside := name[:len(name)-len(".wav")] + ".txt"
	for _, path := range []string{name, beside} {
		if _, err := os.Lstat(path); err == nil && !replace {
			return u.failed(fmt.Errorf("%s is there already\nhint: name another file, or add --replace", path))
		} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return u.failed(unwritable(path, err))
		}
	}
	digest := sha256.New()
	tone, err := drafted(name, func(w io.Writer) error {
		return capture.WriteWAV(io.MultiWriter(w, digest), s.On(how.sides), how.coding)
	})
	defer os.Remove(tone)
	if err != nil {
		return u.failed(unwritable(name, withHint(err)))
	}
	text := s.Text(capture.Label{Name: filepath.Base(name), Digest: hex.EncodeToString(digest.Sum(nil)), Sides: capture.Sides[how.sides], Coding: how.coding, Full: full})
	said, err := drafted(beside, func(w io.Writer) error { _, err := io.WriteString(w, text); return err })
	defer os.Remove(said)
	if err != nil {
		return u.failed(unwritable(beside, err))
	}
	for _, place := range [][2]string{{said, beside}, {tone, name}} {
		if err := os.Rename(place[0], place[1]); err != nil {
			return u.failed(unwritable(place[1], err))
		}
	}
	u.say("wrote %s: %s", name, s.Title())
	u.say("wrote %s: what it contains, and when", beside)
	u.lines("", capture.SignalCaution)
	return exitDone
}

func unwritable(path string, err error) error {
	if strings.Contains(err.Error(), "\nhint: ") {
		return err
	}
	return fmt.Errorf("%s can't be written: %w\nhint: name a file in a folder that you may write, with room on its disk", path, disk.Cause(err))
}

// drafted writes a file under a hidden name beside its own, for which it then is ready.
func drafted(path string, write func(io.Writer) error) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*.tmp")
	if err != nil {
		return "", err
	}
	w := bufio.NewWriterSize(f, 1<<16)
	err = write(w)
	for _, end := range []func() error{w.Flush, f.Sync, func() error { return f.Chmod(0o644) }, f.Close} {
		if failed := end(); err == nil {
			err = failed
		}
	}
	return f.Name(), err
}
