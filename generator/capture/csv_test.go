package capture

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

func TestCSVLayouts(t *testing.T) {
	want := [][]float64{{0.5, -1.25, 3}, {1, 2, -0.001}}
	for name, c := range map[string]struct {
		text  string
		table Table
		names []string
	}{
		"plain":          {"0.5,1\n-1.25,2\n3,-1e-3\n", Table{Rate: 1000}, []string{"1", "2"}},
		"headed":         {"time (s),out,supply\n0,0.5,1\n0.001,-1.25,2\n0.002,3,-0.001\n", Table{}, []string{"out", "supply"}},
		"decimal comma":  {"recorded on a bench\n\nt;out;supply\n0;0,5;1\n0,001;-1,25;2,0\n0,002;3;-0,001\n", Table{}, []string{"out", "supply"}},
		"tabs, CRLF":     {"0,5\t1\r\n-1,25\t2\r\n3\t-1e-3\r\n", Table{Rate: 1000}, []string{"1", "2"}},
		"time last":      {"a,b,when\n0.5,1,7\n-1.25,2,7.001\n3,-0.001,7.002\n", Table{TimeColumn: 3}, []string{"a", "b"}},
		"stated header":  {"5;6\n7;8\n0,5;1\n-1,25;2\n3;-0,001\n", Table{Rate: 1000, HeaderLines: 2}, []string{"7", "8"}},
		"quotes, spaces": {"\ufeff\"out\", \"supply\"\n\"0.5\", 1\n -1.25 ,2\n\n3,-0.001\n", Table{Rate: 1000}, []string{"out", "supply"}},
		"milliseconds":   {"Time (ms),out,supply\n0,0.5,1\n1,-1.25,2\n2,3,-0.001\n", Table{}, []string{"out", "supply"}},
		"microseconds":   {"supply;t/µs;out\n0.5;5000;1\n-1.25;6000;2\n3;7000;-0.001\n", Table{TimeColumn: 2}, []string{"supply", "out"}},
		"units below":    {"scope\n\"Time\",\"out\",\"supply\"\n(ms),(V),(A)\n0,0.5,1\n1,-1.25,2\n2,3,-0.001\n", Table{}, []string{"out", "supply"}},
		"units by word":  {"x-axis,out,supply\nsecond,Volt,Volt\n-0.001,0.5,1\n0,-1.25,2\n0.001,3,-0.001\n", Table{}, []string{"out", "supply"}},
		"a unit alone":   {"s\tout\tsupply\n0\t0.5\t1\n0.001\t-1.25\t2\n0.002\t3\t-0.001\n", Table{}, []string{"out", "supply"}},
		"last separator": {"0.5,1,\n-1.25,2,\n3,-0.001,", Table{Rate: 1000}, []string{"1", "2"}},
		"said":           {"0.5;1\n-1.25;2\n3;-0.001", Table{Rate: 1000, Separator: ';'}, []string{"1", "2"}},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := ReadCSV(strings.NewReader(c.text), c.table)
			if err != nil {
				t.Fatal(err)
			}
			got, err := all(t, s)
			if err != io.EOF {
				t.Fatal(err)
			}
			if !slices.Equal(got[0], want[0]) || !slices.Equal(got[1], want[1]) {
				t.Errorf("samples %v, want %v", got, want)
			}
			if f := s.Format(); math.Abs(f.Rate-1000) > 1e-6 || !slices.Equal(f.Names, c.names) {
				t.Errorf("format %+v", f)
			}
		})
	}
}

// The mistakes' whole texts, with row and column.
func TestCSVMistakes(t *testing.T) {
	long := "t,a\n"
	for i := range 2000 {
		long += fmt.Sprintf("%.6f,1\n", float64(i)/1000*(1+math.Max(0, float64(i-1000))*1e-5))
	}
	for name, c := range map[string]struct {
		text  string
		table Table
		want  string
	}{
		"empty":       {"", Table{Rate: 1}, "row 1: the table has no row of numbers"},
		"UTF-16":      {"\xff\xfet\x00,\x00a\x00\n\x000\x00,\x001\x00\n\x00", Table{}, "row 1: this is no plain text of one byte a digit: it has zeros between them, as UTF-16 has"},
		"words":       {"a,b\nc,d\n", Table{Rate: 1}, "row 2: the table has no row of numbers"},
		"no rate":     {"1,2\n3,4\n", Table{}, "row 1: nothing says how many samples a second these are"},
		"word":        {"1,2\n3,four\n5,6\n", Table{Rate: 1}, `row 2, column 2: "four" is no number`},
		"NaN":         {"1,2\nNaN,4\n", Table{Rate: 1}, `row 2, column 1: "NaN" is no number`},
		"Inf":         {"1,2\n3,-Inf\n", Table{Rate: 1}, `row 2, column 2: "-Inf" is no number`},
		"huge":        {"1,2\n3,1e99\n", Table{Rate: 1}, `row 2, column 2: "1e99" is no number`},
		"empty cell":  {"1,2\n,4\n", Table{Rate: 1}, `row 2, column 1: "" is no number`},
		"cut":         {"1,2\n3,4\n5", Table{Rate: 1}, "row 3: the row has 1 cells, the first one has 2"},
		"one row":     {"t,a\n0,1\n", Table{}, "row 2: one row does not tell how many samples a second there are"},
		"standing":    {"t,a\n1,1\n1,2\n", Table{}, "row 3, column 1: the times do not rise"},
		"back":        {"t,a\n0,1\n1,2\n0.5,1\n3,1\n", Table{}, "row 4, column 1: the times do not rise"},
		"gap":         {"t,a\n0,1\n1,2\n2,1\n3,1\n4,1\n7,1\n8,1\n", Table{Rate: 1}, "row 8, column 1: the times tell 0.736842 samples a second, not the stated 1"},
		"gap, found":  {"t,a\n0,1\n1,2\n2,1\n3,1\n4,1\n6.2,1\n7.2,1\n", Table{}, "row 7, column 1: samples are missing: 1.81176 sampling intervals lie between this row and the one before"},
		"drift":       {long, Table{}, "row 2001, column 1: over all rows the times tell 990.109 samples a second, at the beginning 1000"},
		"times only":  {"1\n2\n", Table{TimeColumn: 1}, "row 1: the table has times only"},
		"no column":   {"1,2\n2,3\n", Table{TimeColumn: 4}, "row 1: the table has no column 4 for the times"},
		"wide":        {"1,2,3,4,5,6,7,8,9\n", Table{Rate: 1}, "row 1: the table has 9 channels"},
		"rate":        {"1\n", Table{Rate: -3}, "-3 samples a second can't be"},
		"long line":   {strings.Repeat("1", 70000), Table{Rate: 1}, "row 1: the line is longer than 65,536 characters"},
		"escape":      {"1,2\n3,\x1b[2J\n", Table{Rate: 1}, `row 2, column 2: "\x1b[2J" is no number`},
		"hexadecimal": {"1,2\n3,0x1p4\n", Table{Rate: 1}, `row 2, column 2: "0x1p4" is no number`},
	} {
		s, err := ReadCSV(strings.NewReader(c.text), c.table)
		if err == nil {
			_, err = all(t, s)
		}
		var p *Problem
		if !errors.As(err, &p) || p.Error() != c.want || p.Hint == "" {
			t.Errorf("%s: %v\nwant %s", name, err, c.want)
		}
	}
}

func FuzzCSV(f *testing.F) {
	f.Add("t;out\n0;0,5\n0,001;1\n", 0.0, 0, byte(0))
	f.Add("1,2\n3,4\n", 48000.0, 0, byte(','))
	f.Add("a\tb\tc\n1\t2\t0\n1\t2\t1\n", 0.0, 3, byte('\t'))
	f.Fuzz(func(t *testing.T, text string, rate float64, column int, separator byte) {
		s, err := ReadCSV(strings.NewReader(text), Table{Rate: rate, TimeColumn: column, Separator: separator})
		if err == nil {
			sound(t, s, int64(len(text)))
		} else {
			placed(t, err, int64(len(text)))
		}
	})
}

// Take gives exactly the stretch asked for, or says why not.
func TestTake(t *testing.T) {
	x := make([]float64, 1000)
	for i := range x {
		x[i] = float64(i)
	}
	m, err := Take(NewMemory(100, x, x), 2.5, 4)
	if err != nil || m.Format().Frames != 150 || m.Samples(1)[0] != 250 || m.Samples(0)[149] != 399 || m.Seconds() != 1.5 {
		t.Errorf("%v, %v", m, err)
	}
	if m, err = Take(NewMemory(100, x), 0, math.Inf(1)); err != nil || m.Format().Frames != 1000 {
		t.Errorf("to the end: %v", err)
	}
	for _, c := range []struct {
		from, to float64
		want     string
	}{
		{1, 1, "the interval from 1 s to 1 s holds nothing"},
		{math.NaN(), 1, "the interval from NaN s to 1 s holds nothing"},
		{9, 11, "frame 1000: the capture ends before the interval does, at 10 s"},
		{11, 12, "the capture ends before the interval begins"},
		{10, math.Inf(1), "frame 1000: the capture ends before the interval does, at 10 s"},
	} {
		if _, err := Take(NewMemory(100, x), c.from, c.to); err == nil || err.Error() != c.want {
			t.Errorf("%g to %g: %v, want %s", c.from, c.to, err, c.want)
		}
	}
}
