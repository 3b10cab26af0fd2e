package generator_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wattsheet/generator/formula"
)

// drawn are the formulas that more than one error goes into, and the test of this
// folder that draws them: each formula of the catalogue is here or among the single.
var drawn = map[string]string{
	formula.LoadAtHeat:      "TestDrawsOfAnElement",
	formula.LoadAtUnit:      "TestDrawsOfOneRun",
	formula.PowerVolts:      "TestDrawsOfOneRun",
	formula.PowerMeter:      "TestDrawsOfAWattmeter",
	formula.PowerTotal:      "TestDrawsOfTwoChannels",
	formula.OutVolts:        "TestDrawsOfOneRun",
	formula.MeterCheck:      "TestDrawsOfAWattmeter",
	formula.Distortion:      "TestDrawsOfDistortion",
	formula.SupplyPower:     "TestDrawsOfOneRun",
	formula.Efficiency:      "TestDrawsOfOneRun",
	formula.Heat:            "TestDrawsOfOneRun",
	formula.LoadLine:        "TestDrawsOfALoadLine", // and generator/electric/fitmontecarlo_test.go
	formula.LineResidual:    "TestDrawsOfALoadLine",
	formula.Goodness:        "TestDrawsOfGoodness",
	formula.Exponent:        "TestDrawsOfASupplyExponent", // and generator/electric/fitmontecarlo_test.go
	formula.SupplyCorrected: "TestDrawsOfASupplyExponent", // and generator/electric/fitmontecarlo_test.go
	formula.PerDivisor:      "TestDrawsOfOneRun",
	formula.Rise:            "TestDrawsOfTemperature",
	formula.Mean:            "TestDrawsOfAMean",
	formula.Deviation:       "TestPoolFindsTheScatter",
	formula.Level:           "TestDrawsOfOneRun",
	formula.Carried:         "TestDrawsOfOneRun",
	formula.Corrected:       "TestDrawsOfCorrectedReadings", // and generator/sheet/specification_test.go
	formula.Combined:        "TestDrawsOfTwoChannels",
	formula.Freedom:         "TestDrawsOfFewRepeats",
	formula.Expanded:        "TestRepeatedTestsHoldTheTruth",
	formula.Chance:          "TestDrawsOfAChance",
	formula.SpecChance:      "TestDrawsOfAStatedFigure",
	formula.CarriedPair:     "TestDrawsOfTwoUnits",
	formula.CaptureScale:    "TestDrawsOfACapture",
	formula.CaptureVolts:    "TestDrawsOfACapture",
	formula.CaptureMean:     "TestDrawsOfACapture",
	formula.CaptureWatts:    "TestDrawsOfACapture",
	formula.CaptureThdn:     "TestDrawsOfACapture",
	formula.CaptureThd:      "TestDrawsOfACapture",
	formula.CaptureFreq:     "TestDrawsOfACapture",
	formula.CaptureLimit:    "TestDrawsOfACapture",
	formula.CaptureOnset:    "TestDrawsOfACapture",
	formula.CaptureMost:     "TestDrawsOfACapture",
	formula.CaptureBursts:   "TestDrawsOfACapture",
	formula.CaptureRound:    "TestDrawsOfACapture",
	formula.CaptureCheck:    "TestDrawsOfACapture",
	formula.CaptureCorner:   "TestDrawsOfACapturedSpec",
	formula.CaptureSlope:    "TestDrawsOfACapturedSpec",
	formula.CaptureCentre:   "TestDrawsOfACapturedSpec",
	formula.CaptureHeight:   "TestDrawsOfACapturedSpec",
	formula.CaptureNoise:    "TestDrawsOfACapturedSpec",
	formula.Difference:      "TestDrawsOfTwoUnits", // its probability in generator/sheet/apart_test.go
}

// single are the other formulas, and why nothing is to be drawn.
var single = map[string]string{
	formula.AsRead:        "one reading with one error",
	formula.SupplyMetered: "one reading with one error",
	formula.Specification: "it is the size of one error",
	formula.Drift:         "it is the size of one error; TestDrawsOfDriftAndTemperature draws it",
	formula.Tempco:        "it is the size of one error; TestDrawsOfDriftAndTemperature draws it",
	formula.CaptureSpread: "it is the size of one error; 1,000 captures are drawn in generator/capture/steady_test.go",
	formula.RankInterval:  "it counts pairs; their differences are drawn",
	formula.PlannedAmps:   planned,
	formula.PlannedSupply: planned,
	formula.PlannedHeat:   planned,
	formula.PlannedEnergy: planned,
	formula.LeadOhms:      planned,
	formula.LeadDrop:      planned,
	formula.WireGauge:     planned,
	formula.PlannedRest:   planned,

	formula.VoiceCoils:        "nominal figures, without uncertainty",
	formula.EfficiencyBetween: asked,
	formula.FuseRating:        asked,
	formula.LeadBears:         asked,
}

// asked is why nothing of what an estimate at a load means is drawn.
const asked = "it is an expectation beside an estimate, and stated without uncertainty"

// planned is why nothing of a bench plan is drawn.
const planned = "it is expected before anything is read, and stated without uncertainty"

// unlisted are the ids of a catalogue that are in none or both of the lists.
func unlisted(catalogue []formula.Formula) (ids []string) {
	for _, f := range catalogue {
		if (drawn[f.ID] == "") == (single[f.ID] == "") {
			ids = append(ids, f.ID)
		}
	}
	return ids
}

// drawsWhatIsListed fails where a test doesn't draw a formula that it is listed for:
// its outcomes are not by it, and it doesn't say that it draws it beside them.
func (e experiment) drawsWhatIsListed(t *testing.T) {
	t.Helper()
	for _, id := range e.missing(t.Name()) {
		t.Errorf("%s is listed as drawing the formula %s, but none of its outcomes comes by it", t.Name(), id)
	}
}

func (e experiment) missing(test string) (ids []string) {
	for id, by := range drawn {
		if by == test && !slices.Contains(e.of, id) && !slices.ContainsFunc(e.outcomes, func(o outcome) bool { return o.formula == id }) {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

// Every formula that several errors go into is drawn by a test that there is, and
// that draws.
func TestEveryCompositeIsDrawn(t *testing.T) {
	for _, id := range unlisted(formula.Catalogue()) {
		t.Errorf("the formula %s has to be in one of the lists: drawn, with a test of raw readings, or single, with the reason", id)
	}
	files, err := filepath.Glob("draws_*_test.go")
	if err != nil || len(files) < 5 {
		t.Fatal(files, err)
	}
	var source strings.Builder
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		source.Write(text)
	}
	for id, test := range drawn {
		if _, known := formula.ByID(id); !known {
			t.Errorf("the catalogue has no formula %s", id)
		}
		body := regexp.MustCompile(`(?s)\nfunc ` + test + `\(.*?\n}\n`).FindString(source.String())
		if !strings.Contains(body, "compare(t, ") && !strings.Contains(body, "draw{") && !strings.Contains(body, "share(") {
			t.Errorf("%s: %s is no test that draws", id, test)
		}
	}
	for id := range single {
		if _, known := formula.ByID(id); !known {
			t.Errorf("the catalogue has no formula %s", id)
		}
	}
}

// The lists can fail: a new formula, and a test that draws something else.
func TestListsOfDrawsCanFail(t *testing.T) {
	if ids := unlisted([]formula.Formula{{ID: formula.Heat}, {ID: "new-formula"}}); !slices.Equal(ids, []string{"new-formula"}) {
		t.Errorf("unlisted are %v, want new-formula alone", ids)
	}
	e := experiment{of: []string{formula.CarriedPair}, outcomes: []outcome{{formula: formula.Heat}}}
	if ids := e.missing("TestDrawsOfTwoUnits"); !slices.Equal(ids, []string{formula.Difference}) {
		t.Errorf("missing are %v, want %s alone", ids, formula.Difference)
	}
}
