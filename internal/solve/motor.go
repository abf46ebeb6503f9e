package solve

import "understage/internal/mech"

// MotorStatus says whether the motor can do its job at the supply.
type MotorStatus int

const (
	// MotorTurns: the supply turns the motor as far as the loads are known.
	MotorTurns MotorStatus = iota
	// MotorCannotStart: the supply cannot turn even the unloaded motor, because
	// V <= I0·(R + Rs).
	MotorCannotStart
	// MotorStalls: the motor turns unloaded, but at some instant of the repeat the
	// figure asks for at least the stall torque at the supply.
	MotorStalls
)

// MotorLine is the straight torque-speed-current line of a permanent-magnet DC
// gearmotor at its output shaft and at one supply voltage:
//
//	V = I·(R + Rs) + ke·w        T = kt·(I − I0)
//
// with R = Vr/Is, ke = (Vr − I0·R)/w0 and kt = Ts/(Is − I0) from the sheet at
// the rated voltage Vr. I0, the current that gearbox friction costs, does not
// shrink with the voltage, so speed and torque fall faster than the supply.
// Source: MIT, Understanding D.C. Motor Characteristics, section 3 (linear line
// through two given ends); the constants follow from Ohm's law.
type MotorLine struct {
	Supply           float64 // V
	Resistance       float64 // R of the winding, ohm
	SupplyResistance float64 // Rs of battery, wiring and switch, ohm
	NoLoadCurrent    float64 // I0, A
	TorqueConstant   float64 // kt, N·mm/A
	VoltageConstant  float64 // ke, V·s/rad
}

// NewMotorLine takes the line from a data sheet. The motor's stall current must
// be above its no-load current and its figures positive, as package spec sees to.
func NewMotorLine(motor *mech.Motor) MotorLine {
	r := motor.Rated / motor.Stall.Current
	return MotorLine{
		Supply:           motor.Supply,
		Resistance:       r,
		SupplyResistance: motor.Feed.Resistance.Or(0),
		NoLoadCurrent:    motor.NoLoad.Current,
		TorqueConstant:   motor.Stall.Torque / (motor.Stall.Current - motor.NoLoad.Current),
		VoltageConstant:  (motor.Rated - motor.NoLoad.Current*r) / motor.NoLoad.Speed,
	}
}

// At returns the same motor on another supply.
func (l MotorLine) At(supply float64) MotorLine {
	l.Supply = supply
	return l
}

// Current returns the current drawn at a torque of the output shaft. A shaft
// that is helped along takes less than the no-load current, to none at all.
func (l MotorLine) Current(torque float64) float64 {
	return max(0, l.windingCurrent(torque))
}

// windingCurrent returns the current through the winding, negative where the
// figure drives the motor on as a generator, which brakes it.
func (l MotorLine) windingCurrent(torque float64) float64 {
	return l.NoLoadCurrent + torque/l.TorqueConstant
}

// Speed returns the steady speed in rad/s against a torque, negative beyond
// the stall torque. Helped along, the motor runs on along the same line, beyond
// the speed at which it draws nothing.
func (l MotorLine) Speed(torque float64) float64 {
	return (l.Supply - l.windingCurrent(torque)*(l.Resistance+l.SupplyResistance)) / l.VoltageConstant
}

// Torque returns the torque in N·mm at a speed in rad/s.
func (l MotorLine) Torque(speed float64) float64 {
	return l.TorqueConstant * ((l.Supply-l.VoltageConstant*speed)/(l.Resistance+l.SupplyResistance) - l.NoLoadCurrent)
}

// NoLoadSpeed returns the unloaded speed in rad/s, 0 when the supply cannot
// turn the motor.
func (l MotorLine) NoLoadSpeed() float64 { return max(0, l.Speed(0)) }

// StallTorque returns the torque with the shaft held, 0 when the supply cannot
// turn the motor.
func (l MotorLine) StallTorque() float64 { return max(0, l.Torque(0)) }

// StallCurrent returns the current with the shaft held.
func (l MotorLine) StallCurrent() float64 {
	return l.Supply / (l.Resistance + l.SupplyResistance)
}

// StallHeat returns the heat in the winding, in W, with the shaft held.
func (l MotorLine) StallHeat() float64 {
	i := l.StallCurrent()
	return i * i * l.Resistance
}

// SupplyFor returns the voltage that gives a steady speed in rad/s against a
// torque.
func (l MotorLine) SupplyFor(speed, torque float64) float64 {
	return l.VoltageConstant*speed + l.windingCurrent(torque)*(l.Resistance+l.SupplyResistance)
}

// GearboxEfficiency returns kt/ke. In a bare motor the two constants are one
// number in SI units, so what is missing from 1 is what the gearbox loses;
// above 1 the sheet contradicts itself.
func (l MotorLine) GearboxEfficiency() float64 {
	return l.TorqueConstant / 1000 / l.VoltageConstant // N·mm to N·m
}

// MotorResult is the motor at the supply, and under load where loads are known.
// The zero value stands for a figure without a motor.
type MotorResult struct {
	Status MotorStatus
	Line   MotorLine

	NoLoadSpeed  float64 // rad/s at the supply, 0 when it cannot start
	StallTorque  float64 // N·mm at the supply
	StallCurrent float64 // A at the supply
	StallHeat    float64 // W in the winding at the supply
	StartVoltage float64 // V, the least that turns the unloaded motor

	// RunningSpeed, rad/s, is what every speed and time of the figure follows
	// from, and always positive: under load, turns of the repeat over its time;
	// without load data, the no-load speed at the supply; and where the motor
	// cannot turn the figure (Status), the no-load speed at the supply or, if
	// that is 0 too, at the rated voltage, so that the rest is still reported.
	RunningSpeed float64
	Loaded       bool // RunningSpeed comes from the loads

	RunningTorque  mech.Given // N·mm, mean over the repeat
	PeakTorque     mech.Given // N·mm
	RunningCurrent mech.Given // A, mean over time
	PeakCurrent    mech.Given // A
	TorqueMargin   mech.Given // stall torque over peak torque

	Load  *LoadResult // nil where the drive does not turn
	Curve *LoadCurve  // nil where the loads are not known
}

// SolveMotor computes the motor at its supply without load. It returns the
// zero result when the figure has no motor.
func SolveMotor(m *mech.Model) MotorResult {
	if m.Motor == nil {
		return MotorResult{}
	}
	line := NewMotorLine(m.Motor)
	r := MotorResult{
		Line:         line,
		NoLoadSpeed:  line.NoLoadSpeed(),
		StallTorque:  line.StallTorque(),
		StallCurrent: line.StallCurrent(),
		StallHeat:    line.StallHeat(),
		StartVoltage: line.SupplyFor(0, 0),
	}
	r.RunningSpeed = r.NoLoadSpeed
	if r.NoLoadSpeed <= 0 {
		r.Status = MotorCannotStart
		r.RunningSpeed = m.Motor.NoLoad.Speed
	}
	return r
}

// SupplyForSpeed returns the supply that gives a running speed in rad/s, under
// load where the loads are known.
func (r *MotorResult) SupplyForSpeed(speed float64) float64 {
	if r.Curve == nil {
		return r.Line.SupplyFor(speed, 0)
	}
	return r.Curve.supplyFor(r.Line, speed)
}
