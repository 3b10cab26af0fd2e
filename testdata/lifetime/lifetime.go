// Package lifetime makes sites of any size, the same ones each time: what a tester
// could have after many years. Benchmarks and the bars measure with them. All of it
// is invented.
package lifetime

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
)

// What each unit has.
const (
	Runs     = 30
	Claims   = 8
	Words    = 300
	Pictures = 2
)

//go:embed site
var shared embed.FS

// A Unit is the files of one unit's folder.
type Unit struct {
	Slug     string
	Record   []byte
	Notes    []byte
	Pictures [Pictures][]byte
}

// PictureNames are the files of a unit's pictures.
var PictureNames = [Pictures]string{"top.png", "inside.png"}

// Write makes the content folder of a site of n units below root. Every tenth unit
// follows the one before it.
func Write(root string, n int) error {
	content := filepath.Join(root, "content")
	site, err := fs.Sub(shared, "site")
	if err != nil {
		return err
	}
	if err := os.CopyFS(content, site); err != nil {
		return err
	}
	each := (n + runtime.GOMAXPROCS(0) - 1) / runtime.GOMAXPROCS(0)
	var group sync.WaitGroup
	errs := make([]error, runtime.GOMAXPROCS(0))
	for worker := range errs {
		group.Go(func() {
			for i := worker * each; i < min(n, (worker+1)*each) && errs[worker] == nil; i++ {
				errs[worker] = UnitOf(i).write(content)
			}
		})
	}
	group.Wait()
	return errors.Join(errs...)
}

// write writes the unit's folder below a content folder.
func (u Unit) write(content string) error {
	folder := filepath.Join(content, "units", u.Slug)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	files := map[string][]byte{"record.toml": u.Record, "notes.md": u.Notes}
	for p, data := range u.Pictures {
		files[PictureNames[p]] = data
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// UnitOf makes the unit of a number, from 0 on.
func UnitOf(i int) Unit {
	r := rand.New(rand.NewPCG(uint64(i), 0x3a77))
	m := maker{r: r, n: i, power: 60 + 10*float64(r.IntN(40))}
	u := Unit{Slug: slug(i), Record: m.record()}
	u.Notes = m.notes()
	for p := range u.Pictures {
		u.Pictures[p] = picture(r)
	}
	return u
}

var (
	makers = strings.Fields("Brindlesedge Hobthrush Larkwimble Mossgrapple Nettleferrule Orlop-Quern Pikestaddle Rushlattice Skirrettine Tarnwhistle")
	models = strings.Fields("Barnacle Cogwheel Dabchick Eddystone Furrow Gudgeon Hopyard Inkle Jackstay Kibble")
)

func slug(i int) string {
	return fmt.Sprintf("%s-%s-%05d", strings.ToLower(makers[i%len(makers)]), strings.ToLower(models[i/10%len(models)]), i)
}

// A maker writes one unit: an amplifier of two channels with about as much power as
// is claimed.
type maker struct {
	r     *rand.Rand
	n     int
	power float64 // into 4 Ω, a channel, in watts
	runs  int
	b     bytes.Buffer
}

func (m *maker) put(format string, args ...any) { fmt.Fprintf(&m.b, format+"\n", args...) }

// near is a number that scatters around another by a relative standard deviation.
func (m *maker) near(x, rel float64) float64 { return x * (1 + rel*m.r.NormFloat64()) }

func (m *maker) record() []byte {
	m.put(`[unit]`)
	m.put("sheet = %q\nmaker = %q\nmodel = \"%s %d\"", fmt.Sprintf("LT-%05d", m.n), makers[m.n%len(makers)], models[m.n/10%len(models)], m.n)
	m.put("year = %d\nserial = \"S-%07d\"\ncondition = \"new, sealed box\"\nkind = \"two-channel\"\nuse = \"car\"", 2015+m.n%12, 7919*m.n%9999991)
	m.put("channels = [\"left\", \"right\"]\nclass = \"D\"\nsupply = \"dc\"\nprice = %d\nprice_date = 2026-10-01", 80+m.r.IntN(900))
	m.put("size_mm = [%d, 52, 190]\nmass_kg = %.2f\nfuses_a = [40, 40, 40]\nlowest_ohm = 2\nlowest_bridged_ohm = 4", 220+m.r.IntN(200), m.near(3, 0.2))
	if m.n%10 == 9 {
		m.put("follows = %q", slug(m.n-1))
	}
	m.put("\n[settings]\ngain = \"at the mark for 2 V\"\ninput = \"phono, 2.0 V rms\"\nboost = \"off\"\nfilters = \"off\"")
	m.put("\n[source]\npaid = \"full price\"\nhow = \"bought\"\nfrom = \"a shop\"\ndate = 2026-10-02\nafter = \"kept\"\nlinks_earn = false")
	m.claims()
	for _, p := range []plan{
		{"thd1", "a4", "b4", 1, 0.9, 6}, {"thd1", "a2", "b2", 1.75, 0.9, 6}, {"thd1", "a8", "b8", 0.55, 0.9, 4},
		{"thd10", "a4", "b4", 1.25, 9.2, 4}, {"thd10", "a2", "b2", 2.1, 9.2, 4}, {"burst", "a4", "b4", 1.1, 0.9, 3},
		{"five-min", "a4", "b4", 0.97, 0.9, 3},
	} {
		for range p.times {
			m.run(p)
		}
	}
	for i, name := range PictureNames {
		m.put("\n[[picture]]\nfile = %q\nshows = %q", name, [...]string{"the top of the unit", "the board with its output stage"}[i])
	}
	return m.b.Bytes()
}

func (m *maker) claims() {
	claim := func(id string, share, ohm float64, channels int, more string) {
		m.put("\n[[claim]]\nid = %q\npower_w = %.0f\nload_ohm = %g\nchannels = %d\nprinted_in = \"manual, page %d\"%s", id, m.near(share*m.power, 0.03), ohm, channels, 4+m.r.IntN(9), more)
	}
	claim("8-ohm", 0.55, 8, 2, "\nsupply_v = 14.4\nthdn_pct = 1")
	claim("4-ohm", 1, 4, 2, "\nsupply_v = 14.4\nthdn_pct = 1")
	claim("2-ohm", 1.75, 2, 2, "\nsupply_v = 14.4\nthdn_pct = 1")
	claim("4-ohm-ten", 1.25, 4, 2, "\nsupply_v = 14.4\nthdn_pct = 10")
	claim("2-ohm-ten", 2.1, 2, 2, "\nsupply_v = 14.4\nthdn_pct = 10")
	claim("4-ohm-burst", 1.1, 4, 2, "\nsupply_v = 14.4\nthdn_pct = 1\nsignal = \"burst\"")
	claim("4-ohm-five", 0.95, 4, 2, "\nsupply_v = 14.4\nthdn_pct = 1\nduration_s = 300")
	claim("4-ohm-box", 1.05, 4, 2, "")
}

// A plan is one kind of run: its method, the loads of both channels, the power as a
// share of that into 4 Ω, the distortion, and how often it is made.
type plan struct {
	method, left, right string
	share, thdn         float64
	times               int
}

func (m *maker) run(p plan) {
	m.runs++
	ohm := map[byte]float64{'2': 2.01, '4': 4.02, '8': 8.03}[p.left[1]]
	supply := m.near(14.35, 0.003)
	volts := func() float64 { return math.Sqrt(m.near(p.share*m.power, 0.008) * ohm) }
	left, right := volts(), volts()
	amps := (left*left + right*right) / ohm / 0.78 / supply
	m.put("\n[[run]]\nid = \"r%02d\"\nmethod = %q\nload = [%q, %q]", m.runs, p.method, p.left, p.right)
	m.put("out_v = [%.2f, %.2f]\nthdn_pct = [%.3f, %.3f]\nsupply_v = %.2f", left, right, m.near(p.thdn, 0.05), m.near(p.thdn, 0.05), supply)
	if p.method != "burst" {
		m.put("supply_a = %.1f", amps)
	} else {
		m.put("with = { out_v = \"recorder\", thdn_pct = \"recorder\", supply_v = \"recorder\" }")
	}
	m.put("load_c = [%.1f, %.1f]\nambient_c = %.1f\nwarm_up_min = %d", m.near(60, 0.1), m.near(60, 0.1), m.near(21, 0.05), 5*m.runs)
	minute := 9*60 + 12*m.runs
	m.put("at = 2026-10-%02dT%02d:%02d:00+01:00", 3+m.n%25, minute/60, minute%60)
}

var words = strings.Fields(`the unit came in a plain box with a short guide and four screws its terminals take thick cable and hold it well
	under load the fan stays silent for the first minutes and then runs evenly the case grows warm along the left side where the
	output stage sits nothing smelled or hummed at any point of the day the gain mark for two volts is close to right the filters
	sound as one expects and the lamp for clipping comes on a little late with music it plays cleanly and without fuss`)

// notes are a text of [Words] words in a few paragraphs, with references to runs.
func (m *maker) notes() []byte {
	var b strings.Builder
	for i := range Words {
		switch {
		case i == 0:
			b.WriteString("## At the bench\n\n")
		case i%60 == 0:
			fmt.Fprintf(&b, ".\n\nThe left channel gave [](value:r%02d/power.left).\n\n", 1+m.r.IntN(16))
		default:
			b.WriteByte(' ')
		}
		b.WriteString(words[m.r.IntN(len(words))])
	}
	return []byte(b.String() + ".\n")
}

// picture is a small photograph of nothing.
func picture(r *rand.Rand) []byte {
	img := image.NewRGBA(image.Rect(0, 0, 240, 160))
	a, b, c := r.IntN(256), 1+r.IntN(5), 1+r.IntN(7)
	for y := range 160 {
		for x := range 240 {
			img.SetRGBA(x, y, color.RGBA{uint8(a + x/b + r.IntN(4)), uint8(y * c), uint8(x ^ y), 255})
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		panic(err) // a picture in memory always can be written
	}
	return out.Bytes()
}
