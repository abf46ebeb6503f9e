package check

import (
	"fmt"
	"math"

	"understage/internal/mech"
	"understage/internal/solve"
)

// motorFindings judges the motor and its supply. A figure without a motor has
// nothing to judge here.
func motorFindings(m *mech.Model, s *solve.Solution) []Finding {
	if m.Motor == nil {
		return nil
	}
	return append([]Finding{
		supplyFinding(m),
		motorSheetFinding(m, s.Motor),
		startFinding(m, &s.Motor),
		runningSpeedFinding(s.Motor),
	}, motorLoadFindings(m, &s.Motor)...)
}

const motorPath = "motor"

func known(v float64) mech.Given { return mech.Given{Value: v, OK: true} }

// supplyFinding compares the supply with the motor's rating.
func supplyFinding(m *mech.Model) Finding {
	const rule = "supply"
	most := limit(m, rule)
	f := Finding{
		Rule: rule, Where: motorPath, Source: source(rule),
		Value: known(m.Motor.Supply), Limit: known(most * m.Motor.Rated), Unit: "V",
		Message: fmt.Sprintf("the supply of %.3g V is within the motor's rating of %.3g V", m.Motor.Supply, m.Motor.Rated),
	}
	if m.Motor.Supply > most*m.Motor.Rated {
		f.Severity = Fail
		f.Message = fmt.Sprintf("lower the supply of %.3g V to the motor's rating of %.3g V, or take a motor rated for it", m.Motor.Supply, m.Motor.Rated)
	}
	return f
}

// motorSheetFinding asks whether kt/ke is possible.
func motorSheetFinding(m *mech.Model, r solve.MotorResult) Finding {
	const rule = "motor_sheet"
	most, got := limit(m, rule), r.Line.GearboxEfficiency()
	f := Finding{
		Rule: rule, Where: motorPath, Source: source(rule),
		Value: known(got), Limit: known(most),
		Message: fmt.Sprintf("the sheet's figures agree: the gearbox passes on about %.0f %% of the torque", 100*got),
	}
	if got > most {
		f.Severity = Caution
		f.Message = fmt.Sprintf("the sheet cannot be right, its torque is %.2f times what its voltage and speed allow: measure no-load speed, stall torque and both currents", got)
	}
	return f
}

// runningSpeedFinding says whether speeds and times are those under load.
func runningSpeedFinding(r solve.MotorResult) Finding {
	const rule = "running_speed"
	f := Finding{Rule: rule, Where: motorPath, Source: source(rule)}
	switch {
	case r.Status == solve.MotorStalls || r.PeakTorque.OK && r.Status == solve.MotorTurns && r.PeakTorque.Value >= r.StallTorque:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the motor stalls at %.3g V: all speeds and times are at no load", r.Line.Supply)
	case r.Status == solve.MotorCannotStart:
		f.Severity = Fail
		f.Message = fmt.Sprintf("the motor does not turn at %.3g V: all speeds and times are at the rated no-load speed", r.Line.Supply)
	case !r.Loaded && r.Load != nil && r.Load.Unposed:
		f.Severity = Unknown
		f.Message = "running speed unknown: the figure cannot be posed throughout, so all speeds and times are at no load"
	case !r.Loaded:
		f.Severity = Unknown
		f.Message = "running speed unknown: no loads are given, so all speeds and times are at no load"
	default:
		f.Value, f.Unit = known(r.RunningSpeed*30/math.Pi), "rpm"
		f.Message = fmt.Sprintf("speeds and times are those under load: %.4g rpm of %.4g rpm at no load", r.RunningSpeed*30/math.Pi, r.NoLoadSpeed*30/math.Pi)
	}
	return f
}
