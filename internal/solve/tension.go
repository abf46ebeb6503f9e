package solve

// How tight a belt must be and what that loads.
//
//	effective tension   Te = service·2T/d
//	working tensions    tight 1.25·Te, slack 0.25·Te    (JB/T 7512 handbook sheet)
//	tension to set      their mean, 0.75·Te
//	allowable           kz·kw·Ta − m·v²,  kw = (width/reference)^1.14
//	span deflection     F = 4·T·δ/t at δ = t/64, so F = T/16
//	plucked span        f = √(T/m)/(2t)
//
// Sources: Handbook of Timing Belts and Pulleys (D790), Eqs. 1-3 to 1-5, for
// deflection and span; belt frequency meters' notes for T = 4·m·t²·f²; ISO 5295
// (from memory) for the width factor; ANSI/RMA IP-24 for kz.

import (
	"math"
	"strconv"

	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
)

// BeltDuty is what a belt is asked to do.
type BeltDuty struct {
	Driver  int     // index into the run
	Torque  float64 // N·mm at the driver
	Speed   float64 // rad/s of the driver, unsigned
	Ccw     bool    // the driver turns counter-clockwise
	Service float64 // service factor on the torque, 1 or more
}

// BeltTension is a belt's tensions and loads, N. Its slices run parallel to the
// run; span i is the one after stop i.
type BeltTension struct {
	Effective float64
	Tight     float64
	Slack     float64
	Static    float64 // to set, standing still
	BeltSpeed float64 // mm/s
	// Allowable is the most the tight side may carry; not OK where the width or
	// the system's figure is unknown.
	Allowable  mech.Given
	MeshFactor float64    // kz
	MassPer    mech.Given // kg/m of this belt
	// LeastWidth is the narrowest standard width, mm, that carries the tight side.
	LeastWidth mech.Given
	Spans      []SpanTension
	Hubs       []HubLoad
}

// SpanTension is one span.
type SpanTension struct {
	Length     float64 // mm, with the belt fitted where that is known
	Running    float64 // N
	Deflection float64 // mm at the middle for the deflection test
	Force      float64 // N that deflects it so, at the tension to set
	Frequency  mech.Given
}

// HubLoad is what the belt pulls one pulley with, square to its shaft.
type HubLoad struct {
	Static  r2.Vec
	Running r2.Vec
}

// Handbook shares of the effective tension on the two sides.
const (
	tightShare = 1.25
	slackShare = 0.25
)

// widthExponent of the allowable tension: narrow belts carry less than in
// proportion, since the edge cords are not whole loops.
const widthExponent = 1.14

// deflectionShare is how far a span is pushed in the deflection test, of its
// length.
const deflectionShare = 1.0 / 64

// SolveTension computes the tensions of a belt whose loop closes. Torque is
// taken off in equal parts by the driven sprockets; idlers take none. The
// section may be the zero one, and then what needs its figures is unknown.
func SolveTension(m *mech.Model, b *mech.Belt, r *BeltResult, section standard.Section, duty BeltDuty) BeltTension {
	radius := r.Pulleys[duty.Driver].Radius
	effective := duty.Service * duty.Torque / radius
	t := BeltTension{
		Effective: effective, Tight: tightShare * effective, Slack: slackShare * effective,
		Static:    (tightShare + slackShare) / 2 * effective,
		BeltSpeed: duty.Speed * radius, MeshFactor: meshFactor(b, r),
	}
	if b.Width.OK && section.Mass.OK {
		t.MassPer = mech.Given{Value: section.Mass.Value * b.Width.Value / section.Mass.Width, OK: true}
	}
	if b.Width.OK {
		t.Allowable = t.allowable(section, b.Width.Value)
	}
	for _, w := range section.Widths {
		if a := t.allowable(section, w.Value); a.OK && a.Value >= t.Tight && (!t.LeastWidth.OK || w.Value < t.LeastWidth.Value) {
			t.LeastWidth = mech.Given{Value: w.Value, OK: true}
		}
	}
	t.load(m, b, r, duty)
	return t
}

// meshFactor returns kz for the sprocket with the fewest teeth in mesh, whole
// teeth counted: 1 from six up, a fifth less for each one fewer.
func meshFactor(b *mech.Belt, r *BeltResult) float64 {
	least := math.Inf(1)
	for i, p := range b.Run {
		if p.Teeth > 0 {
			least = min(least, math.Floor(r.Pulleys[i].TeethInMesh+1e-9))
		}
	}
	return max(0, min(1, 1-0.2*(6-least)))
}

// allowable returns the tension that a belt of the width may carry.
func (t *BeltTension) allowable(section standard.Section, width float64) mech.Given {
	if !section.Tension.OK {
		return mech.Given{}
	}
	most := t.MeshFactor * math.Pow(width/section.Tension.Width, widthExponent) * section.Tension.Value
	if section.Mass.OK {
		v := t.BeltSpeed / 1000
		most -= section.Mass.Value * width / section.Mass.Width * v * v
	}
	return mech.Given{Value: max(0, most), OK: true}
}

// load follows the tension round the run and sums it on each pulley, with the
// belt fitted where that is known.
func (t *BeltTension) load(m *mech.Model, b *mech.Belt, r *BeltResult, duty BeltDuty) {
	circles := BeltCircles(m, b)
	if b.TakeUp != nil && r.Fitted.TakeUp.OK {
		circles[b.TakeUp.Pulley].At = r.Fitted.At
	}
	var loop Loop
	SolveLoop(&loop, circles)
	if loop.Status != LoopOK {
		return
	}
	n := len(b.Run)
	running := spanTensions(b, &loop, duty, t.Tight, t.Slack)
	for i := range n {
		before := (i + n - 1) % n
		t.Spans = append(t.Spans, SpanTension{
			Length: loop.Spans[i], Running: running[i],
			Deflection: deflectionShare * loop.Spans[i],
			Force:      4 * t.Static * deflectionShare,
			Frequency:  spanFrequency(t.Static, t.MassPer, loop.Spans[i]),
		})
		t.Hubs = append(t.Hubs, HubLoad{
			Static:  r2.Scale(t.Static, r2.Sub(loop.Headings[i], loop.Headings[before])),
			Running: r2.Sub(r2.Scale(running[i], loop.Headings[i]), r2.Scale(running[before], loop.Headings[before])),
		})
	}
}

// spanTensions returns the working tension of each span: slack where the belt
// leaves the driver, and at each driven sprocket up by its part of the torque.
func spanTensions(b *mech.Belt, loop *Loop, duty BeltDuty, tight, slack float64) []float64 {
	n := len(b.Run)
	driven := 0
	for i, p := range b.Run {
		if i != duty.Driver && p.Teeth > 0 && p.Shaft != mech.None {
			driven++
		}
	}
	step := 0.0
	if driven > 0 {
		step = (tight - slack) / float64(driven)
	}
	// The belt runs in the order listed when that is round the driver's own way.
	onward := duty.Ccw != loop.Clockwise
	if b.Run[duty.Driver].Back {
		onward = !onward
	}
	tensions := make([]float64, n)
	at, now := duty.Driver, slack
	for range n {
		if onward {
			tensions[at] = now
			at = (at + 1) % n
		} else {
			at = (at + n - 1) % n
			tensions[at] = now
		}
		if p := b.Run[at]; at != duty.Driver && p.Teeth > 0 && p.Shaft != mech.None {
			now += step
		}
	}
	return tensions
}

// spanFrequency returns the pitch, Hz, of a plucked span of the length in mm.
func spanFrequency(tension float64, massPer mech.Given, length float64) mech.Given {
	if !massPer.OK || massPer.Value <= 0 || length <= 0 {
		return mech.Given{}
	}
	return mech.Given{Value: math.Sqrt(tension/massPer.Value) / (2 * length / 1000), OK: true}
}

// Note is a pitch of the equally tempered scale and how far off it a sound is.
type Note struct {
	Name   string // such as "A4" or "C#3"
	Cents  float64
	Finite bool // false for a frequency of 0
}

var noteNames = [...]string{"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"}

// NoteOf returns the note nearest a frequency in Hz, with A4 at 440 Hz (ISO 16).
func NoteOf(frequency float64) Note {
	if !(frequency > 0) || !isFinite(frequency) {
		return Note{}
	}
	const a4 = 69 // semitones above C of octave -1
	steps := 12*math.Log2(frequency/440) + a4
	nearest := math.Round(steps)
	octave := int(math.Floor(nearest/12)) - 1
	name := noteNames[int(nearest)-12*(octave+1)]
	return Note{Name: name + strconv.Itoa(octave), Cents: 100 * (steps - nearest), Finite: true}
}

// BeltDriver returns the stop of the run that drives the belt: the first
// sprocket whose shaft turns by something other than this belt.
func BeltDriver(m *mech.Model, d *Drive, belt int) (int, bool) {
	for i, p := range m.Belts[belt].Run {
		if p.Teeth > 0 && p.Shaft != mech.None && d.Ratios[p.Shaft].Driven() && d.Via[p.Shaft] != (Part{BeltPart, belt}) {
			return i, true
		}
	}
	return 0, false
}

// BeltDutyOf returns what the figure asks of a belt: the motor's torque at its
// most, carried to the belt's driver by the exact ratio without losses, and
// where that torque comes from. It is not ok where no motor drives the belt.
// Without it the first sprocket drives, counter-clockwise.
func BeltDutyOf(m *mech.Model, s *Solution, belt int) (duty BeltDuty, torqueIs string, ok bool) {
	duty = BeltDuty{Ccw: true, Service: 1}
	for i, p := range m.Belts[belt].Run {
		if p.Teeth > 0 {
			duty.Driver = i
			break
		}
	}
	if m.Motor == nil {
		return duty, "", false
	}
	driver, driven := BeltDriver(m, &s.Drive, belt)
	if !driven {
		return duty, "", false
	}
	shaft := m.Belts[belt].Run[driver].Shaft
	ratio := math.Abs(s.Drive.Ratios[shaft].Float())
	torque, torqueIs := s.Motor.StallTorque, "the motor held still at the supply"
	if s.Motor.PeakTorque.OK {
		torque, torqueIs = s.Motor.PeakTorque.Value, "the peak torque under load"
	}
	duty.Driver, duty.Torque = driver, torque/ratio
	duty.Speed, duty.Ccw = ratio*s.Motor.RunningSpeed, s.Drive.Sign(m, shaft) > 0
	return duty, torqueIs, true
}
