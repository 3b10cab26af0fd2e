package datafile

import (
	"wattsheet/generator/record"
	"wattsheet/generator/sheet"
)

// A dataWritten is a number of the record, as it was typed and as a number.
type dataWritten struct {
	// Text is the number as it was typed: its last digit can matter.
	Text string `json:"text"`
	// Value is the same as a number.
	Value number `json:"value"`
}

// A dataSpec is a figure that the maker states, no claim of power, decided.
type dataSpec struct {
	// ID names the spec; the unit's page has the anchor spec-<id>.
	ID string `json:"id"`
	// Name is what it is.
	Name string `json:"name"`
	// Unit is the unit of its figures; left out for a bare number.
	Unit string `json:"unit,omitempty"`
	// Limit is how the maker's figure is meant: at-least, at-most, about or between.
	Limit string `json:"limit"`
	// Stated is the maker's figure; of a range the lower end.
	Stated dataWritten `json:"stated"`
	// StatedTo is the upper end of a range.
	StatedTo *dataWritten `json:"stated_to,omitempty"`
	// Also is the maker's figure in a second unit, where it is printed in two.
	Also *dataWritten `json:"also,omitempty"`
	// AlsoUnit is that unit.
	AlsoUnit string `json:"also_unit,omitempty"`
	// Tolerance is the tolerance that the maker prints, in unit.
	Tolerance *number `json:"tolerance,omitempty"`
	// TolerancePct is that tolerance in percent of the figure.
	TolerancePct *number `json:"tolerance_pct,omitempty"`
	// Readings is what was measured, one number or repeats; left out where nothing was.
	Readings []dataWritten `json:"readings,omitempty"`
	// PM is how well it was measured, a half-width in unit.
	PM *number `json:"pm,omitempty"`
	// How is with what it was measured, and how.
	How string `json:"how,omitempty"`
	// PrintedIn is where the maker prints it.
	PrintedIn string `json:"printed_in,omitempty"`
	// Remarks is anything else about it.
	Remarks string `json:"remarks,omitempty"`
	// Video is where it is seen in a video; left out where it isn't marked.
	Video *dataMark `json:"video,omitempty"`
	// Read is from which capture the measured figure comes; left out where it was typed.
	Read *dataSpecRead `json:"read,omitempty"`
	// StatedText is the maker's figure with its unit and kind of limit.
	StatedText string `json:"stated_text"`
	// Limits is what it is decided against, and by which tolerance, in words.
	Limits string `json:"limits"`
	// Measured is the measured figure; left out where nothing was measured.
	Measured *Figure `json:"measured,omitempty"`
	// Verdict is met, missed, open or untested.
	Verdict string `json:"verdict"`
	// Word is the verdict as pages print it.
	Word string `json:"word"`
	// P is the probability that the figure lies within the limits.
	P *number `json:"p,omitempty"`
	// PText is that probability for people.
	PText string `json:"p_text,omitempty"`
}

// A dataThermal is one temperature of the unit, or a series.
type dataThermal struct {
	// Spot is where it was read.
	Spot string `json:"spot"`
	// TempC are the temperatures as read.
	TempC []dataWritten `json:"temp_c"`
	// TempF are the same in degrees Fahrenheit, where the thermometer showed both.
	TempF []dataWritten `json:"temp_f,omitempty"`
	// AtMin are the minutes since the series' start.
	AtMin []number `json:"at_min,omitempty"`
	// AmbientC is the air temperature.
	AmbientC *number `json:"ambient_c,omitempty"`
	// AmbientF is the same in degrees Fahrenheit.
	AmbientF *number `json:"ambient_f,omitempty"`
	// Emissivity is what the infrared thermometer was set to.
	Emissivity *number `json:"emissivity,omitempty"`
	// After is the run before or during which it was read.
	After string `json:"after,omitempty"`
	// How is with what it was read, and the load before.
	How string `json:"how,omitempty"`
	// Video is where it is seen in a video; left out where it isn't marked.
	Video *dataMark `json:"video,omitempty"`
	// PM is how well it was read, a half-width in kelvins.
	PM *number `json:"pm,omitempty"`
	// Points are the temperatures, evaluated.
	Points []dataThermalPoint `json:"points"`
}

// A dataThermalPoint is one temperature of a series.
type dataThermalPoint struct {
	// Min is the minutes since the series' start.
	Min number `json:"min"`
	// Temp is the temperature.
	Temp *Figure `json:"temp,omitempty"`
	// Rise is how far it is above the air's; left out where that is not known.
	Rise *Figure `json:"rise,omitempty"`
}

// A dataRatio is the unit's power by its price, volume or mass.
type dataRatio struct {
	// Name is what it is.
	Name string `json:"name"`
	// Figure is the ratio.
	Figure *Figure `json:"figure"`
	// Of is what the power and the divisor are, in words.
	Of string `json:"of"`
}

// A dataLoadLine is the fit of P(R) = E²·R/(R + Rs)² to one channel's runs of one
// method. It is no measurement.
type dataLoadLine struct {
	// Method is the id of the method.
	Method string `json:"method"`
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// Bridged is true for a bridged pair.
	Bridged bool `json:"bridged"`
	// E is the volts without load.
	E *Figure `json:"e"`
	// Rs is the inner resistance of the unit on this bench's supply.
	Rs *Figure `json:"rs"`
	// Chi2 is the weighted sum of squared residuals.
	Chi2 number `json:"chi2"`
	// Free is its degrees of freedom.
	Free int `json:"free"`
	// P is the probability of such a chi2 or a larger one where the line is right.
	P number `json:"p"`
	// WorstStandardised is the largest standardised residual, without its sign.
	WorstStandardised number `json:"worst_standardised"`
	// Fits is false where chi2 is beyond its 95 % point: then nothing is estimated
	// from the line.
	Fits bool `json:"fits"`
	// Expected is what the other loads lead to expect at the lowest load, where the
	// line doesn't fit and that load gives less; an estimate.
	Expected *Figure `json:"expected,omitempty"`
	// Text is the line in a sentence.
	Text string `json:"text"`
	// Points are what the line is fitted to, a load element each.
	Points []dataLinePoint `json:"points"`
}

// A dataLinePoint is one load element's mean power.
type dataLinePoint struct {
	// Runs are the runs averaged.
	Runs []string `json:"runs"`
	// LoadOhm is the load at the unit's terminals.
	LoadOhm number `json:"load_ohm"`
	// Power is the mean power.
	Power *Figure `json:"power"`
	// ResidualW is the mean power less the line's.
	ResidualW number `json:"residual_w"`
	// ResidualUW is the standard uncertainty that is left of it, since the line was
	// fitted to the point.
	ResidualUW number `json:"residual_u_w"`
	// Standardised is the residual divided by that.
	Standardised number `json:"standardised"`
	// Weight is the point's weight in the fit, in 1/W².
	Weight number `json:"weight"`
}

// A dataRepeat is runs that repeat each other, for one channel.
type dataRepeat struct {
	// Method is the id of the method.
	Method string `json:"method"`
	// NominalOhm is the nominal load.
	NominalOhm number `json:"nominal_ohm"`
	// Channel is the channel's name.
	Channel string `json:"channel"`
	// Bridged is true for a bridged pair.
	Bridged bool `json:"bridged"`
	// Points are the runs.
	Points []dataRepeatPoint `json:"points"`
	// PoolPct is the method's pool, a relative standard deviation in percent.
	PoolPct number `json:"pool_pct"`
	// SPct is the standard deviation of these runs, in percent.
	SPct number `json:"s_pct"`
}

// A dataRepeatPoint is one run among its repeats.
type dataRepeatPoint struct {
	// Run is the run's id.
	Run string `json:"run"`
	// DeviationPct is its deviation from their mean, in percent.
	DeviationPct number `json:"deviation_pct"`
}

// more adds what stands beside claims and runs.
func (d *Sheet) more(s *sheet.Sheet, k *causes) {
	for _, spec := range s.Specs {
		d.Specs = append(d.Specs, k.spec(spec))
	}
	for _, t := range s.Thermals {
		d.Thermals = append(d.Thermals, k.thermal(t))
	}
	for _, r := range s.Ratios {
		d.Ratios = append(d.Ratios, dataRatio{Name: r.Name, Figure: k.figure(r.Figure), Of: r.Of})
	}
	for _, l := range s.Lines {
		d.LoadLines = append(d.LoadLines, k.line(l))
	}
	d.SupplyExponent = k.exponent(s.Exponent)
	for _, r := range s.Repeats {
		one := dataRepeat{
			Method: r.Method.ID, NominalOhm: number(r.Nominal), Channel: r.Channel, Bridged: r.Bridged,
			PoolPct: number(r.PoolPct), SPct: number(r.SPct),
		}
		for _, p := range r.Points {
			one.Points = append(one.Points, dataRepeatPoint{Run: p.Run, DeviationPct: number(p.DeviationPct)})
		}
		d.Repeats = append(d.Repeats, one)
	}
	d.AtLoads = dataOfLoads(s)
}

func (k *causes) spec(s *sheet.Spec) dataSpec {
	rec := s.Rec
	d := dataSpec{
		ID: s.ID, Name: rec.Name, Unit: rec.Unit, Limit: rec.Limit, Stated: written(rec.Stated),
		Tolerance: given(rec.Tolerance), TolerancePct: given(rec.TolerancePct), Readings: allWritten(rec.Measured),
		PM: given(rec.PM), How: rec.How, PrintedIn: rec.PrintedIn, Remarks: rec.Remarks,
		StatedText: s.Stated, Limits: s.Limits, Measured: k.figure(s.Measured),
		Verdict: string(s.Verdict), Word: s.Word, PText: s.PText, Read: k.specRead(s),
	}
	if rec.StatedTo.Given() {
		to := written(rec.StatedTo)
		d.StatedTo = &to
	}
	if rec.Also.Given() {
		also := written(rec.Also)
		d.Also, d.AlsoUnit = &also, rec.AlsoUnit
	}
	if s.Measured != nil {
		d.P = finite(s.P)
	}
	return d
}

func (k *causes) thermal(t *sheet.Thermal) dataThermal {
	rec := t.Rec
	d := dataThermal{
		Spot: rec.Spot, TempC: allWritten(rec.TempC), TempF: allWritten(rec.TempF), AtMin: numbers(rec.AtMin), AmbientC: given(rec.AmbientC), AmbientF: given(rec.AmbientF),
		Emissivity: given(rec.Emissivity), After: rec.After.ID, How: rec.How, PM: given(rec.PM),
	}
	for _, p := range t.Points {
		d.Points = append(d.Points, dataThermalPoint{Min: number(p.Min), Temp: k.figure(p.TempC), Rise: k.figure(p.Rise)})
	}
	return d
}

func (k *causes) line(l *sheet.LoadLine) dataLoadLine {
	d := dataLoadLine{
		Method: l.Method.ID, Channel: l.Channel, Bridged: l.Bridged, E: k.figure(l.E), Rs: k.figure(l.Rs),
		Chi2: number(l.Chi2), Free: l.Free, P: number(l.P), WorstStandardised: number(l.Worst), Fits: l.Fits, Expected: k.figure(l.Expected), Text: l.Text,
	}
	for _, p := range l.Points {
		d.Points = append(d.Points, dataLinePoint{
			Runs: list(p.Runs), LoadOhm: number(p.Load), Power: k.figure(p.Power), ResidualW: number(p.ResidualW),
			ResidualUW: number(p.Residual.Std), Standardised: number(p.Standardised), Weight: number(p.Weight),
		})
	}
	return d
}

func written(n record.Number) dataWritten { return dataWritten{Text: n.Text, Value: number(n.Value)} }

func allWritten(n record.Numbers) []dataWritten {
	var out []dataWritten
	for _, item := range n.Items {
		out = append(out, written(item))
	}
	return out
}
