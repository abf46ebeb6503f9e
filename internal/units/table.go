package units

import "math"

// unit converts to the model's unit of its dimension: value·num/den. Both are
// exact in float64 (but for π), so that a conversion rounds twice at most and
// 350 mA is 0.35 A to the last digit.
type unit struct {
	dim      Dimension
	num, den float64
}

// Exact by definition. The inch, the avoirdupois pound and standard gravity:
// NIST Special Publication 811 (2008), appendix B.8; the
// pound-force, 4.4482216152605 N, is the pound of 0.45359237 kg under
// 9.80665 m/s², and the ounce a sixteenth of the pound.
var (
	inch    = ratio{254, 10}                   // mm
	poundKg = ratio{45359237, 1e8}             // kg
	ounceKg = ratio{45359237, 16e8}            // kg
	kgfN    = ratio{980665, 1e5}               // N
	gfN     = ratio{980665, 1e8}               // N
	poundN  = ratio{44482216152605, 1e13}      // N
	ounceN  = ratio{44482216152605, 16 * 1e13} // N
)

type ratio struct{ num, den float64 }

func (r ratio) times(s ratio) ratio { return ratio{r.num * s.num, r.den * s.den} }
func (r ratio) over(s ratio) ratio  { return ratio{r.num * s.den, r.den * s.num} }

// named is a unit with the ways it is written, in the normal form of
// normalUnit.
type named struct {
	spellings []string
	ratio     ratio
}

var (
	one        = ratio{1, 1}
	thousand   = ratio{1000, 1}
	thousandth = ratio{1, 1000}

	lengthUnits = []named{
		{[]string{"mm"}, one},
		{[]string{"cm"}, ratio{10, 1}},
		{[]string{"m"}, thousand},
		{[]string{"in", "inch", "inches", "in.", `"`, "″"}, inch},
	}
	forceUnits = []named{
		{[]string{"N"}, one},
		{[]string{"mN"}, thousandth},
		{[]string{"kgf", "kp"}, kgfN},
		{[]string{"gf"}, gfN},
		{[]string{"lbf"}, poundN},
		{[]string{"ozf"}, ounceN},
	}
	// weightUnits are the mass units that motor sheets print for forces: in a
	// torque, and only there, they mean the weight of that mass.
	weightUnits = []named{
		{[]string{"kg"}, kgfN},
		{[]string{"g"}, gfN},
		{[]string{"lb"}, poundN},
		{[]string{"oz"}, ounceN},
	}
	massUnits = []named{
		{[]string{"kg"}, one},
		{[]string{"g"}, thousandth},
		{[]string{"mg"}, ratio{1, 1e6}},
		{[]string{"lb", "lbs"}, poundKg},
		{[]string{"oz"}, ounceKg},
	}
	timeUnits = []named{
		{[]string{"s", "sec", "second", "seconds"}, one},
		{[]string{"ms"}, thousandth},
		{[]string{"min", "minute", "minutes"}, ratio{60, 1}},
		{[]string{"h", "hour", "hours"}, ratio{3600, 1}},
	}
	angleUnits = []named{
		{[]string{"deg", "°", "degree", "degrees"}, ratio{math.Pi, 180}},
		{[]string{"rad", "radian", "radians"}, one},
		{[]string{"turn", "turns", "rev", "revolution", "revolutions"}, ratio{2 * math.Pi, 1}},
	}
)

// table holds every spelling. Speed and AngularSpeed, which measure the same,
// share theirs.
var table, clashes = buildTable()

// buildTable returns the table, and the spellings that stand for two units,
// of which there are none (a test sees to it).
func buildTable() (t map[string]unit, clashes []string) {
	t = make(map[string]unit, 600)
	add := func(dim Dimension, r ratio, spellings ...string) {
		for _, s := range spellings {
			if _, taken := t[s]; taken {
				clashes = append(clashes, s)
			}
			t[s] = unit{dim, r.num, r.den}
		}
	}
	addAll := func(dim Dimension, list []named) {
		for _, n := range list {
			add(dim, n.ratio, n.spellings...)
		}
	}
	addAll(Length, lengthUnits)
	addAll(Angle, angleUnits)
	addAll(Time, timeUnits)
	addAll(Mass, massUnits)
	addAll(Force, forceUnits)
	addTurning(add)
	addTorques(add)
	addElectric(add)
	addMechanics(add)
	add(Number, ratio{1, 100}, "%")
	return t, clashes
}

type adder func(dim Dimension, r ratio, spellings ...string)

// addTurning adds speeds and rates.
func addTurning(add adder) {
	add(Speed, ratio{math.Pi, 30}, "rpm", "RPM", "r/min", "U/min")
	for _, a := range angleUnits {
		for _, t := range timeUnits {
			for _, x := range a.spellings {
				for _, y := range t.spellings {
					r := a.ratio.over(t.ratio)
					if a.spellings[0] == "turn" && t.spellings[0] == "min" {
						r = ratio{math.Pi, 30}
					}
					add(Speed, r, x+"/"+y)
				}
			}
		}
	}
	for _, t := range timeUnits {
		for _, y := range t.spellings {
			add(Rate, one.over(t.ratio), "/"+y)
		}
	}
	add(Rate, one, "Hz")
	add(Rate, ratio{1, 60}, "bpm")
}

// addTorques adds force times length, and the run-together forms in use.
func addTorques(add adder) {
	together := map[string]bool{
		"Nm": true, "Ncm": true, "Nmm": true, "mNm": true,
		"kgcm": true, "kgfcm": true, "kgmm": true, "kgfm": true, "gcm": true, "gfcm": true,
		"ozin": true, "ozfin": true, "lbin": true, "lbfin": true,
	}
	for _, list := range [][]named{forceUnits, weightUnits} {
		for _, f := range list {
			for _, l := range lengthUnits {
				for _, x := range f.spellings {
					for _, y := range l.spellings {
						if y == `"` || y == "″" {
							continue
						}
						r := f.ratio.times(l.ratio)
						add(Torque, r, x+"·"+y)
						if together[x+y] {
							add(Torque, r, x+y)
						}
						if l.spellings[0] == "in" {
							add(Torque, r, y+"·"+x) // in·lb, as American tables write it
						}
					}
				}
			}
		}
	}
}

func addElectric(add adder) {
	add(Voltage, one, "V", "volt", "volts")
	add(Voltage, thousandth, "mV")
	add(Current, one, "A", "amp", "amps")
	add(Current, thousandth, "mA")
	add(Capacity, one, "A·h", "Ah")
	add(Capacity, thousandth, "mA·h", "mAh")
	add(Resistance, one, "ohm", "ohms")
	add(Resistance, thousandth, "mohm")
	add(Resistance, thousand, "kohm")
	add(Power, one, "W", "watt", "watts")
	add(Power, thousandth, "mW")
	add(Energy, thousand, "J")
	add(Energy, one, "mJ")
	add(Energy, ratio{3.6e6, 1}, "W·h", "Wh")
}

func addMechanics(add adder) {
	for _, f := range forceUnits {
		for _, l := range lengthUnits {
			for _, x := range f.spellings {
				for _, y := range l.spellings {
					add(SpringRate, f.ratio.over(l.ratio), x+"/"+y)
				}
			}
		}
	}
	for _, l := range lengthUnits {
		y := l.spellings[0]
		add(LinearSpeed, l.ratio, y+"/s")
		add(Acceleration, l.ratio, y+"/s2")
		add(Pressure, one.over(l.ratio.times(l.ratio)), "N/"+y+"2")
		for _, m := range massUnits {
			add(Inertia, m.ratio.times(l.ratio.times(l.ratio)), m.spellings[0]+"·"+y+"2")
		}
	}
	add(Pressure, one, "MPa")
	add(Pressure, thousand, "GPa")
	add(Pressure, thousandth, "kPa")
	add(Pressure, ratio{1, 1e6}, "Pa")
	add(Pressure, poundN.over(inch.times(inch)), "psi", "lbf/in2")
	for _, s := range []string{"mm3/(N·m)", "mm3/N·m", "mm3/(Nm)", "mm3/Nm", "mm3/N/m"} {
		add(WearRate, one, s)
	}
	for _, s := range []string{"m3/(N·m)", "m3/N·m", "m3/(Nm)", "m3/Nm", "m2/N"} {
		add(WearRate, ratio{1e9, 1}, s)
	}
	add(WearRate, thousandth, "mm2/N")
}
