// Package sheet evaluates a record: every quantity with its uncertainty and the
// formula it came by, every claim with its verdict. A sheet is computed once and
// only read afterwards.
package sheet

import (
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// A Sheet is the record of one unit, evaluated.
type Sheet struct {
	Slug    string // the unit's address
	Number  string // the sheet's own number; the slug where the record gives none
	Name    string // maker and model
	Record  *record.Record
	Content *record.Content

	Headline   string // the verdicts in a sentence
	Subline    string // what unit, and what the sentence is about
	Disclosure string // who supplied the unit, and what the tester has from it
	Tested     string // the day of the last run, YYYY-MM-DD; empty when no run has a time

	Claims   []*Claim
	Runs     []*Run     // in the record's order, invalid ones too
	Captures []*Capture // that runs were read from, in the record's order
	Specs    []*Spec
	Thermals []*Thermal
	Ratios   []Ratio
	Lines    []*LoadLine     // by method, then channel
	Exponent *SupplyExponent // nil where no runs differ enough in the supply voltage
	Repeats  []*Repeat
	AtLoads  []*AtLoad // unbridged loads first, from low to high
	Findings []Finding
}

// A Figure is one evaluated quantity.
type Figure struct {
	Quantity string // power, total, supply_power, efficiency, heat, level, resistance, out_v, thdn, supply_v, supply_a
	Symbol   string // as formulas write it
	Unit     string // W, V, A, Ω, %, dB
	X        float64
	Std      float64 // combined standard uncertainty, in Unit
	DoF      float64 // effective degrees of freedom; +Inf where none are finite
	K        float64 // coverage factor for 95 %
	U        float64 // expanded uncertainty, in Unit; 0 where nothing is known to be uncertain
	Formula  string  // id in the formula catalogue

	// ValueText and UText are the value and U rounded for people; UText is empty
	// where U is 0.
	ValueText, UText string
	// Text is the figure for people, with its unit: "(109.4 ± 1.9) W".
	Text string

	Lines      []quantity.Line // the uncertainty budget
	Incomplete []string        // what its uncertainty lacks, in words; nil when complete

	value quantity.Value
}

// A Run is one run of the record, evaluated.
type Run struct {
	Rec       *record.Run
	ID        string
	Method    *record.Method
	Bridged   bool
	Nominal   float64 // nominal load a channel, in ohms; the first channel's
	FreqHz    float64
	Valid     bool // not marked invalid
	Completed bool // valid, and ended as planned

	Channels []*Channel

	// The figures of the whole run; nil where the readings don't give them.
	Total       *Figure // power of all driven channels
	SupplyV     *Figure
	SupplyA     *Figure
	SupplyPower *Figure
	Efficiency  *Figure
	Heat        *Figure

	Captured *Captured // what its capture gives beside that; nil without one

	OutcomeText string   // how it ended, in words
	Cautions    []string // what stands beside the run for safety
}

// A Channel is one driven channel, or bridged pair, of a run.
type Channel struct {
	Name    string       // L, or L+R when bridged
	Load    *record.Load // nil where the run gives only a nominal load
	Nominal float64      // Ω

	Resistance *Figure // at the unit's terminals: the element at its temperature and its lead
	Volts      *Figure // across the element, as read; nil when not read
	OutV       *Figure // at the unit's terminals
	Power      *Figure // at the unit's terminals
	Check      *Figure // watt-meter minus V²/R, where both are given
	Distortion *Figure // relative to the fundamental; nil when not read
}

// A Claim is one claim, decided.
type Claim struct {
	Rec        *record.Claim
	ID         string
	Label      string   // load, channels and bridging: "4 Ω", "4 Ω bridged", "2 Ω, burst"
	Conditions string   // the claim's conditions in words
	Assumed    []string // conditions that the claim doesn't state and the site assumes, in words
	Verdict    verdict.Word
	Word       string // the verdict as pages print it: Met, Falls short, Too close to call …
	Reason     string // why it is open, untested or incomparable: a code, see reasons.go; empty otherwise
	Why        string // the verdict's reason in a sentence

	// Brief stands in a list where there is no mean to show: "shut down after 212 s".
	Brief string

	ClaimW float64 // W a channel
	LimitW float64 // L = claim·(1 − allowance)

	Channels []*ClaimChannel // in the order driven; empty when untested or incomparable
	Weakest  *ClaimChannel   // the channel that decides; nil when there is none
	Level    *Figure         // of the weakest channel's mean against the claim, dB

	HasP       bool
	PMin, PMax float64 // P(Y >= L) of the weakest channel, over the corners
	PText      string  // met: the smallest; short: the largest; open: both
	// The thick bar of the claim line, in W: what the rule decides by. The claim
	// is met when BarLow >= LimitW and short when BarHigh <= LimitW.
	BarLow, BarHigh float64
	// BarLowOpen and BarHighOpen tell that the bar has no end on that side: the
	// runs bound the power on the other side only (below or above the claim's
	// distortion). The end given is the same estimate's, for drawing.
	BarLowOpen, BarHighOpen bool

	Flip     *verdict.Flip // nil where no shift or scaling would change it
	FlipText string        // the flip distance in a sentence

	Rules []RuleSays // what each of the usual rules would say; nil where the claim isn't decided by numbers

	// Estimate is what the unit may have given at the claim's supply voltage; nil
	// where its runs stand there. It decides nothing.
	Estimate *SupplyEstimate

	Corners []verdict.CornerResult
	groups  []*group
	matched *match
	offLoad bool  // the load is further off than the corners reach
	Uses    []Use // every run that was looked at, and what became of it
}

// A RuleSays is what one of the usual decision rules says of a claim.
type RuleSays struct {
	Acceptance string // as site.toml calls it: "guarded"; empty for one that is not usual
	Name       string // "guarded, 95 %"
	Rule       verdict.Rule
	Means      string // what it asks for and how often it may be wrong, in a sentence or two
	Source     string // the standard that it rests on
	Own        bool   // the site's own rule
	Verdict    verdict.Word
}

// A ClaimChannel is one channel's result for a claim.
type ClaimChannel struct {
	Name  string
	Class string   // at, below or above the claim's distortion
	Runs  []string // ids of the runs averaged
	Mean  *Figure  // as measured, at the unit's terminals
}

// A Use is what became of a run for a claim.
type Use struct {
	Run    string
	Counts bool
	Why    string
}

// A Finding is something odd in a record, for the tester, before publication.
type Finding struct {
	ID    string // see findings.go
	Place record.Place
	Text  string // what is odd, with figures
	Cause string // the usual cause
}
