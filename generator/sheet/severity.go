package sheet

// A Severity says how likely a finding is a mistake. The scale is short on purpose:
// either something is at odds with physics or with another reading, or it may well
// be so and a person should know.
type Severity int

const (
	// WorthALook is for what may be right: the tester should have seen it.
	WorthALook Severity = iota
	// LikelyMistake is for what can hardly be as it is written.
	LikelyMistake
)

// String is the severity's word, as files and scripts have it.
func (s Severity) String() string {
	if s == LikelyMistake {
		return "likely-mistake"
	}
	return "worth-a-look"
}

// Words is the severity for people.
func (s Severity) Words() string {
	if s == LikelyMistake {
		return "likely a mistake"
	}
	return "worth a look"
}

// severities has every id of a finding.
var severities = map[string]Severity{
	"burst-below-continuous":     LikelyMistake,
	"capture-disagrees":          LikelyMistake,
	"check-unit-off":             LikelyMistake,
	"clipped-beyond-clipping":    LikelyMistake,
	"efficiency-above-class-b":   LikelyMistake,
	"efficiency-above-one":       LikelyMistake,
	"half-load-more-than-double": LikelyMistake,
	"power-disagrees":            LikelyMistake,
	"power-far-off":              LikelyMistake,
	"supply-exponent":            LikelyMistake,
	"supply-far-off":             LikelyMistake,
	"two-units-disagree":         LikelyMistake,

	"below-lowest-load":        WorthALook,
	"beyond-bandwidth":         WorthALook,
	"beyond-crest-factor":      WorthALook,
	"beyond-shortest-burst":    WorthALook,
	"calibration-past":         WorthALook,
	"capture-frequency":        WorthALook,
	"capture-mean":             WorthALook,
	"claim-above-fuses":        WorthALook,
	"claim-supply-far-off":     WorthALook,
	"claim-without-run":        WorthALook,
	"coarser-than-range":       WorthALook,
	"current-above-fuses":      WorthALook,
	"current-above-supply":     WorthALook,
	"distortion-above-method":  WorthALook,
	"distortion-below-method":  WorthALook,
	"efficiency-far-below":     WorthALook,
	"ended-without-supply":     WorthALook,
	"fuses-far-above":          WorthALook,
	"harmonics-beyond-band":    WorthALook,
	"instrument-missing":       WorthALook,
	"load-line":                WorthALook,
	"load-off-nominal":         WorthALook,
	"lowest-load-odd":          WorthALook,
	"mass-and-size":            WorthALook,
	"pool-missing":             WorthALook,
	"price-far-off":            WorthALook,
	"repeats-scatter":          WorthALook,
	"run-without-claim":        WorthALook,
	"same-readings":            WorthALook,
	"spec-far-off":             WorthALook,
	"temperature-odd":          WorthALook,
	"uncertainty-incomplete":   WorthALook,
	"video-marks-out-of-order": WorthALook,
	"video-missing":            WorthALook,
}

// Severity says how likely the finding is a mistake.
func (f Finding) Severity() Severity { return severities[f.ID] }
