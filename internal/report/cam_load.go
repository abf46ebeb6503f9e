package report

import (
	"math"

	"understage/internal/solve"
)

// CamLoad is the load of a cam; null where data are missing.
type CamLoad struct {
	Known           bool       `json:"known"`
	FrictionAssumed bool       `json:"friction_assumed"`
	ShaftRPM        Value      `json:"shaft_rpm"`
	ContactForceN   Value      `json:"contact_force_N"`
	ContactForceAt  Value      `json:"contact_force_at_deg"`
	HoldingForceN   Value      `json:"least_holding_force_N"`
	PeakTorqueNmm   Value      `json:"peak_torque_Nmm"`
	PeakTorqueAt    Value      `json:"peak_torque_at_deg"`
	MeanTorqueNmm   Value      `json:"mean_torque_Nmm"`
	GuideShare      Value      `json:"guide_share"`
	Jams            bool       `json:"jams"`
	FloatRPM        Value      `json:"float_rpm"`
	ContactMPa      Value      `json:"contact_pressure_MPa"`
	ContactAt       Value      `json:"contact_pressure_at_deg"`
	ContactWidthMM  Value      `json:"contact_width_mm"`
	ContactMissing  string     `json:"contact_missing,omitempty"`
	Drop            *CamFall   `json:"drop,omitempty"`
	WearDepthMM     Value      `json:"wear_depth_mm"`
	CamWear         CamWearing `json:"cam_wear"`
	FollowerWear    CamWearing `json:"follower_wear"`
}

// CamFall is a sudden drop.
type CamFall struct {
	At       Value `json:"at_deg"`
	Height   Value `json:"height_mm"`
	FallMS   Value `json:"fall_ms"`
	Turned   Value `json:"turned_deg"`
	Clear    Value `json:"clear_deg"`
	LandMMPS Value `json:"landing_speed_mm_s"`
}

// CamWearing is the wear of one part: an order of magnitude, as a range.
type CamWearing struct {
	PerHour Range  `json:"mm_per_hour"`
	Hours   Range  `json:"hours_to_depth"`
	Source  string `json:"source"`
	Missing string `json:"missing,omitempty"`
}

func buildCamLoad(r *solve.CamLoadResult) CamLoad {
	out := CamLoad{
		Known: r.Known, FrictionAssumed: r.Known && r.Assumed, ShaftRPM: Null,
		ContactForceN: Null, ContactForceAt: Null, HoldingForceN: Null, PeakTorqueNmm: Null, PeakTorqueAt: Null,
		MeanTorqueNmm: Null, GuideShare: Null, FloatRPM: Null, ContactMPa: Null, ContactAt: Null, ContactWidthMM: Null,
		ContactMissing: r.Contact.Missing, WearDepthMM: Null,
		CamWear: buildCamWear(&r.Wear.Cam, r.Wear.Depth), FollowerWear: buildCamWear(&r.Wear.Follower, r.Wear.Depth),
	}
	if r.Speed > 0 {
		out.ShaftRPM = rpm(r.Speed)
	}
	if d := r.Drop; d != nil {
		out.Drop = &CamFall{At: camDegrees(d.Angle), Height: Value(d.Height), FallMS: Null, Turned: Null, Clear: camDegrees(d.Clear), LandMMPS: Null}
		if d.Known {
			out.Drop.FallMS, out.Drop.Turned, out.Drop.LandMMPS = Value(1000*d.Time), camDegrees(d.Turned), Value(d.Speed)
		}
	}
	if !r.Known {
		return out
	}
	out.Jams = r.Jams
	out.ContactForceN, out.ContactForceAt = Value(r.Normal.Value), camDegrees(r.Normal.Angle)
	out.HoldingForceN = Value(r.LeastAlong.Value)
	out.PeakTorqueNmm, out.PeakTorqueAt = Value(r.Torque.Max.Value), camDegrees(r.Torque.Max.Angle)
	out.MeanTorqueNmm = Value(r.MeanTorque)
	if r.Guided {
		out.GuideShare = Value(r.Guide.Value)
	}
	if r.Mass {
		out.FloatRPM = rpm(r.Float)
	}
	if r.Contact.Known {
		out.ContactMPa, out.ContactAt = Value(r.Contact.Pressure.Value), camDegrees(r.Contact.Pressure.Angle)
		out.ContactWidthMM = Value(r.Contact.Width)
	}
	out.WearDepthMM = Value(r.Wear.Depth)
	return out
}

func buildCamWear(w *solve.CamWearRate, depth float64) CamWearing {
	if !w.Known {
		return CamWearing{PerHour: Range{Min: Null, Max: Null}, Hours: Range{Min: Null, Max: Null}, Missing: w.Missing}
	}
	least, most := w.Hours(depth)
	return CamWearing{
		PerHour: Range{Min: Value(w.Low), Max: Value(w.High)},
		Hours:   Range{Min: Value(least), Max: Value(most)},
		Source:  w.Source,
	}
}

// life is the running time in hours until the first part is worn, by the high
// end of the wear rates.
func (l *CamLoad) life() Value {
	life := math.Inf(1)
	for _, hours := range []Value{l.CamWear.Hours.Min, l.FollowerWear.Hours.Min} {
		if finite(float64(hours)) {
			life = min(life, float64(hours))
		}
	}
	if math.IsInf(life, 1) {
		return Null
	}
	return Value(life)
}
