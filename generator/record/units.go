package record

// scaleOf is each unit's kind, and its size in millimetres, kilograms or kelvins.
// The inch of 25.4 mm, the foot of 12 inches, the pound of 0.45359237 kg and its
// sixteenth, the ounce, are exact by definition (NIST SP 811, appendix B, from
// memory).
var scaleOf = map[string]struct {
	kind string
	size float64
}{
	"mm": {"length", 1}, "cm": {"length", 10}, "m": {"length", 1000}, "in": {"length", 25.4}, "ft": {"length", 304.8},
	"kg": {"mass", 1}, "g": {"mass", 1e-3}, "lb": {"mass", 0.45359237}, "oz": {"mass", 0.45359237 / 16},
	"°C": {"temperature", 1}, "°F": {"temperature", 1 / 1.8},
}

// Convert gives a figure and its half-width in another unit of the same kind:
// a length, a mass or a temperature. It reports whether there is a way: both units
// are known and of one kind.
//
//	t/°C = (t/°F − 32)/1.8
func Convert(x, half float64, from, to string) (y, halfY float64, ok bool) {
	a, b := scaleOf[from], scaleOf[to]
	if a.kind == "" || a.kind != b.kind {
		return 0, 0, false
	}
	if from == "°F" {
		x -= 32
	}
	y = x * a.size / b.size
	if to == "°F" {
		y += 32
	}
	return y, half * a.size / b.size, true
}

// twoUnits checks that a size or mass in inches or pounds stands beside the one
// that figures are made of.
func (k *checker) twoUnits(u *Unit) {
	n := len(u.SizeIn.Items)
	switch {
	case u.SizeIn.Given() && n != 3:
		k.add(u.SizeIn.Place, "width, height and depth: size_in = [8.7, 2.2, 7.1]", "size_in has %s, not three", counted(n, "number"))
	case u.SizeIn.Given() && !u.SizeMM.Given():
		k.add(u.SizeIn.Place, "add the same in millimetres: size_mm = [220, 55, 180]", "size_in is given, but not size_mm")
	}
	if u.MassLb.Given() && !u.MassKG.Given() {
		kg, _, _ := Convert(u.MassLb.Value, 0, "lb", "kg")
		k.add(u.MassLb.Place, "add the same in kilograms: mass_kg = "+plain(roundTo(kg)), "mass_lb is given, but not mass_kg")
	}
}

// fahrenheit checks that temperatures in degrees Fahrenheit stand beside others.
func (k *checker) fahrenheit(t *Thermal) {
	if c, f := len(t.TempC.Items), len(t.TempF.Items); t.TempF.Given() && t.TempC.Given() && c != f {
		k.add(t.TempF.Place, "one for each of temp_c, in their order", "temp_c has %s, but temp_f %d", counted(c, "temperature"), f)
	}
	if t.AmbientF.Given() && !t.AmbientC.Given() {
		c, _, _ := Convert(t.AmbientF.Value, 0, "°F", "°C")
		k.add(t.AmbientF.Place, "add the same in degrees Celsius: ambient_c = "+plain(roundTo(c)), "ambient_f is given, but not ambient_c")
	}
}

// also checks a maker's figure in a second unit.
func (k *checker) also(s *Spec) {
	unit := s.Key("also_unit")
	switch {
	case s.Also.Given() && s.AlsoUnit == "":
		k.add(s.Also.Place, `name the second unit: also_unit = "in"`, "also is given, but not also_unit")
	case s.AlsoUnit != "" && !s.Also.Given():
		k.add(unit, "add the maker's figure in that unit: also = …", "also_unit is given, but not also")
	case s.AlsoUnit != "":
		if _, _, ok := Convert(0, 0, s.AlsoUnit, s.Unit); !ok {
			k.add(unit, "of a length unit is mm, cm, m, in or ft, of a mass g, kg, oz or lb, of a temperature °C or °F",
				"also_unit is %s, which can't be compared with unit %s", quoted(s.AlsoUnit), quoted(s.Unit))
		}
	}
}
