package site

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/andybalholm/cascadia"

	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// Spellings of one name are one maker; names that differ are two, however odd they are.
func TestMakerAddresses(t *testing.T) {
	for name, want := range map[string]string{
		"Copperdaub": "copperdaub", "COPPERDAUB": "copperdaub", " Copper  Daub ": "copper-daub", "Copper-Daub": "copper-daub",
		"Daub & Sons": "daub-and-sons", "Daub And  Sons.": "daub-and-sons", "ＤＡＵＢ　＆　ＳＯＮＳ": "daub-and-sons", "Daub&Sons": "daub-and-sons", "Daub\u2011and-Sons": "daub-and-sons",
		"Daub + Sons": "", "Öhmling": "", "Ohmling": "ohmling", "音鼬": "", "..": "", "../..": "", "con": "", "index.html": "index-html",
		"<script>": "", "-": "", strings.Repeat("Daub ", 40): "", strings.Repeat("Daub ", 39) + "Daubs": "", "Daub’s": "daubs", "٣ daub": "",
	} {
		got := makerSlug(name)
		if want != "" && got != want {
			t.Errorf("%q has the address %q, want %q", name, got, want)
		}
		if !proseAddress.MatchString(got) || len(got) > 80 {
			t.Errorf("%q has the address %q", name, got)
		}
		if want == "" && !strings.Contains(got, "-") {
			t.Errorf("%q has the address %q, which another name may have", name, got)
		}
	}
	for _, alike := range [][]string{
		{"Ösel", "ösel", "O\u0308sel", "ÖSEL.", "Ｏ\u0308sel"}, {"Søn & Łuk", "SØN AND ŁUK", "søn-and-łuk"}, {"音鼬", "音鼬."}, {"Groß", "Groẞ"}, {"Οδός", "ΟΔΌΣ"},
	} {
		for _, name := range alike {
			if got, want := makerSlug(name), makerSlug(alike[0]); got != want || !strings.HasPrefix(got, map[string]string{"Ösel": "osel-", "Søn & Łuk": "son-and-luk-", "Groß": "gross-"}[alike[0]]) {
				t.Errorf("%q has the address %q, and %q has %q", name, got, alike[0], want)
			}
		}
	}
	distinct := []string{"Daub & Sons", "Daub + Sons", "Daub Sons", "Öhmling", "Ohmling", "音鼬", "音獺", "<b>", "<i>", "..", "-", "con", "Con 1", "Отто", "отто\u0306", "Ösel", "Osel", "Ôsel", "Øsel",
		"Bø", "Bö", "Bo", "Bó", "Łuk", "Luķ", "Æther", "Aether", "Groß", "Gross"}
	slugs := map[string]string{}
	for _, name := range distinct {
		if other, twice := slugs[makerSlug(name)]; twice {
			t.Errorf("%q and %q share a page", name, other)
		}
		slugs[makerSlug(name)] = name
	}
}

// A unit's folder is made of a name as a maker's address is, but for the mark behind it.
func TestUnitFolder(t *testing.T) {
	for name, want := range map[string]string{
		"Mossfettle Brackenjar 100": "mossfettle-brackenjar-100", "Öl & Ähre 4.2": "ol-and-ahre-4-2", "Groß Łuk Æ": "gross-luk-ae", "../../etc": "etc",
		"Ω": "unit", "": "unit", "Löwe Bär 150,2": "lowe-bar-150-2", "  -- a --  ": "a", "con": "con-unit", "Håks": "haks", "ＷＩＤＥ １": "wide-1",
		strings.Repeat("long ", 30): strings.TrimSuffix(strings.Repeat("long-", 12), "-"),
	} {
		if got := UnitFolder(name); got != want {
			t.Errorf("%q makes %q, want %q", name, got, want)
		}
	}
	for _, name := range []string{"Öhmling", "Søn & Łuk", "Groß", "Daub + Sons", "Ängström & Söhne"} {
		if of, is := makerSlug(name), UnitFolder(name); !strings.HasPrefix(of, is+"-") || len(of) != len(is)+9 {
			t.Errorf("%q is %q as a maker and %q as a folder", name, of, is)
		}
	}
	if got := makerSlug("Ösel"); got != "osel-002b7426" {
		t.Errorf("the published address of Ösel has become %q", got)
	}
}

// The script of the front page takes the same spellings for one maker.
func TestMakersInTheScript(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil && os.Getenv("CI") != "true" {
		t.Skip("node is not installed")
	}
	script, err := os.ReadFile("../../themes/default/script/front.js")
	if err != nil {
		t.Fatal(err)
	}
	var code strings.Builder
	for _, name := range []string{"makerOf"} {
		_, after, _ := strings.Cut(string(script), "const "+name+" = ")
		statement, _, whole := strings.Cut(after, ";\n")
		if !whole {
			t.Fatalf("front.js has no %s", name)
		}
		code.WriteString("const " + name + " = " + statement + ";\n")
	}
	names := []string{"Daub & Sons", "Daub And  Sons.", "ＤＡＵＢ　＆　ＳＯＮＳ", "Daub\u2011and-Sons", "Daub + Sons", "Daub Sons", "Öhmling", "Ohmling", "O\u0308hmling", "OHMLING.",
		"Øhmling", "音鼬", "音鼬.", "音獺", "Groß", "Gross", "Daub’s", "daubs", "Ĳssel", "ĳssel", "Łuk", "łuk", "Luķ", "Отто",
		"Ösel", "Ôsel", "Øsel", "OSEL", "Bø", "Bö", "İz", "i\u0307z", "Iz", "ΟΔΌΣ", "Οδός", ".", "-", "…"}
	in, _ := json.Marshal(names)
	fmt.Fprintf(&code, "const names = %s;\nconsole.log(JSON.stringify(names.map((a) => names.map((b) => makerOf(a) === makerOf(b)))));\n", in)
	out, err := exec.Command(node, "-e", code.String()).Output()
	if err != nil {
		t.Fatal(err)
	}
	var alike [][]bool
	if err := json.Unmarshal(out, &alike); err != nil {
		t.Fatal(err)
	}
	for i, a := range names {
		for j, b := range names {
			if want := makerSlug(a) == makerSlug(b); alike[i][j] != want {
				t.Errorf("%q and %q: one maker %t, in the script %t", a, b, want, alike[i][j])
			}
		}
	}
}

// A maker whose name is written in two ways is told with both places, and has one page, that says both.
func TestSpellingsOfAMaker(t *testing.T) {
	root := tiny(t, nil)
	for slug, maker := range map[string]string{"a-1": "Otter & Co", "b-1": "Otter & Co.", "c-1": "Otter and Co", "d-1": "Otter & Co"} {
		put(t, root, "content/units/"+slug+"/record.toml", strings.Replace(tinyFile(t, tinyRecord), `"Ottersprocket"`, `"`+maker+`"`, 1))
	}
	c, err := Check(root, today)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Build(root, today, filepath.Join(root, "public"))
	if err != nil {
		t.Fatal(err)
	}
	for _, problems := range []record.Problems{c.Problems, b.Problems} {
		for _, want := range []string{
			`content/units/b-1/record.toml:2:9: warning: this maker is written "Otter & Co." here, and "Otter & Co" in content/units/a-1/record.toml`,
			`content/units/c-1/record.toml:2:9: warning: this maker is written "Otter and Co" here, and "Otter & Co" in content/units/a-1/record.toml`,
		} {
			if text := problems.Error(); !strings.Contains(text, want) || strings.Count(text, "this maker is written") != 2 {
				t.Errorf("%s isn't told:\n%s", want, text)
			}
		}
	}
	page, err := os.ReadFile(filepath.Join(root, "public/makers/otter-and-co/index.html"))
	if err != nil || !strings.Contains(string(page), "Also written <bdi>Otter &amp; Co.</bdi>, <bdi>Otter and Co</bdi>.") {
		t.Errorf("the page doesn't say how the name is written otherwise: %v", err)
	}
	list, err := os.ReadFile(filepath.Join(root, "public/index.html"))
	if err != nil || !strings.Contains(string(list), `<option>Otter &amp; Co</option>`) || strings.Contains(string(list), `<option>Otter &amp; Co.</option>`) {
		t.Errorf("the list can be filtered by another name: %v", err)
	}
}

// Each maker's page has its units with all their claims, as the units' own pages decide
// them, and the counts add up.
func TestMakerPages(t *testing.T) {
	s, problems, err := Load("../..", today)
	if err != nil || problems.Errors() {
		t.Fatal(err, problems)
	}
	index := document(t, "makers/index.html")
	for _, sh := range s.Sheets {
		slug := makerSlug(sh.Record.Unit.Maker)
		if !slices.Contains(attributesOf(index, ".index-list a", "href"), "../makers/"+slug+"/index.html") {
			t.Errorf("the index doesn't lead to %s", slug)
		}
		doc := document(t, "makers/"+slug+"/index.html")
		unit := cascadia.Query(doc, cascadia.MustCompile("article#unit-"+sh.Slug))
		if unit == nil {
			t.Errorf("%s isn't on its maker's page", sh.Slug)
			continue
		}
		var want []string
		for _, c := range sh.Claims {
			want = append(want, oneBlank(c.Label+" "+c.Word))
		}
		var got []string
		for _, claim := range cascadia.QueryAll(unit, cascadia.MustCompile(".claims > .claim")) {
			got = append(got, content(cascadia.Query(claim, cascadia.MustCompile(".claim-label")))+" "+content(cascadia.Query(claim, cascadia.MustCompile(".verdict span"))))
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: claims %v, want %v", sh.Slug, got, want)
		}
		if reply := sh.Record.Reply; reply.Given() && !strings.Contains(content(cascadia.Query(unit, cascadia.MustCompile(".reply"))), paragraphs(reply.Text)[0]) {
			t.Errorf("%s: the maker's reply isn't on the page", sh.Slug)
		}
		if sh.Record.Unit.Follows.ID != "" && !slices.Contains(attributesOf(doc, ".model-line a", "href"), "#unit-"+sh.Record.Unit.Follows.ID) {
			t.Errorf("%s: the model that it follows isn't in its line", sh.Slug)
		}
		if st := s.Ledger(sh.Slug); st != nil {
			if n := len(attributesOf(unit, ".corrected-list a", "href")); n != len(st.Corrections) {
				t.Errorf("%s: %d corrections, want %d", sh.Slug, n, len(st.Corrections))
			}
		}
	}
	// Copperdaub's two units have six claims in two years.
	doc := document(t, "makers/copperdaub/index.html")
	sum := map[string]int{}
	heads := cascadia.QueryAll(doc, cascadia.MustCompile(".years thead th"))
	for _, row := range cascadia.QueryAll(doc, cascadia.MustCompile(".years tbody tr")) {
		for i, c := range cascadia.QueryAll(row, cascadia.MustCompile("td")) {
			n, err := strconv.Atoi(content(c))
			if err != nil {
				t.Fatal(err)
			}
			sum[content(heads[i+1])] += n
		}
	}
	want := map[string]int{"Units": 0}
	for _, sh := range s.Sheets {
		if sh.Record.Unit.Maker == "Copperdaub" {
			want["Units"]++
			for _, c := range sh.Claims {
				want[capital(string(c.Verdict))]++
			}
		}
	}
	for _, w := range verdict.Words {
		if sum[capital(string(w))] != want[capital(string(w))] {
			t.Errorf("%s: %v, want %v", w, sum, want)
		}
	}
	if sum["Units"] != want["Units"] {
		t.Errorf("%v, want %v", sum, want)
	}
}

// An edit of a unit makes its own maker's page again and no other; a unit of a new maker
// brings a page, and takes it away with itself.
func TestMakerPagesFollowFromTheirOwnUnits(t *testing.T) {
	root := several(t)
	d := edited(t, root, replaced(fieldfare+"record.toml", "out_v = 23", "out_v = 22"))
	if got := since(t, d, "makers/fieldfarelug-1/index.html"); !slices.Equal(got, []class{theMade}) {
		t.Errorf("the maker's page is to be made again for %v", got)
	}
	for _, other := range []string{"makers/badgercog-1/index.html", "makers/index.html"} {
		if got := since(t, d, other); got != nil {
			t.Errorf("%s is to be made again for %v", other, got)
		}
	}
	if _, err := d.Why("makers/nobody/index.html"); err == nil {
		t.Error("there is a page of a maker without units")
	}
	if _, err := d.Open("makers/nobody/index.html"); err == nil {
		t.Error("the page of a maker without units opens")
	}
	if got := openedAt(t, d, "makers/fieldfarelug-1/index.html"); !strings.Contains(got, "Fieldfarelug") {
		t.Error("the maker's page doesn't open")
	}
}
