package solve

import (
	"math"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// camLevel returns a cam's level: its own; else the height at which its push
// takes hold of the torso shaft; else its shaft's.
func (b *frameBuild) camLevel(i int) (float64, bool) {
	c := &b.m.Cams[i]
	if c.Level.OK {
		return c.Level.Value, true
	}
	if t := b.m.Torso; t != nil && b.m.Shafts[c.Shaft].View == geom.Plan {
		for _, p := range t.Pushes {
			if p.Kind != mech.Rod && p.Cam == i {
				return t.Pivot - p.Depth, true
			}
		}
	}
	l := b.m.Shafts[c.Shaft].Level
	return l.Value, l.OK
}

// CamMark returns the angle, from +u of the view, at which a cam's timing mark
// stands at φ = 0.
func CamMark(m *mech.Model, cam int) float64 {
	c := &m.Cams[cam]
	f := c.Follower
	switch {
	case f == nil: // the torso shaft rides on it: toward the torso's axis at rest
		at := m.Shafts[c.Shaft].At
		return math.Atan2(-at.Y, -at.X)
	case f.Path != mech.Swing:
		return f.Heading
	}
	// The triangle of axis, pivot and roller's centre at zero lift, or the foot
	// of the pivot on a flat face's normal.
	reach := r2.Norm(f.Pivot)
	var cos float64
	if f.Kind == mech.Flat {
		cos = (c.Base - f.Face) / reach
	} else {
		prime := c.Base + f.Radius
		cos = (prime*prime + reach*reach - f.Arm*f.Arm) / (2 * prime * reach)
	}
	turn := math.Acos(min(max(cos, -1), 1))
	if !f.Left {
		turn = -turn
	}
	return math.Atan2(f.Pivot.Y, f.Pivot.X) + turn
}

// camState is a cam as its mover last set it.
type camState struct {
	cam      *Cam
	at       r2.Vec
	mark     float64 // at φ = 0
	phase    float64
	phi      float64
	sin, cos float64 // of the template's turn
	contact  Contact
	lift     Lift
	sways    camSway
	turn     float64 // of the shaft that may come
	sway     sway    // of the lift within it
}

// set poses the cam for the turn of its shaft.
func (c *camState) set(x []float64) bool {
	c.phi = x[0] + c.phase
	c.sin, c.cos = math.Sincos(c.mark + c.cam.Sense()*c.phi)
	c.lift = c.cam.Lift(c.phi)
	c.contact = c.cam.ContactAt(c.phi, c.lift)
	return true
}

// strays notes how far things may stray while the shaft turns by no more than
// reach either way.
func (c *camState) strays(reach []float64) {
	c.turn, c.sway = reach[0], c.sways.of(c.phi, &c.lift, reach[0])
}

// view returns a point of the template in the view.
func (c *camState) view(p r2.Vec) r2.Vec {
	return r2.Vec{X: c.at.X + c.cos*p.X - c.sin*p.Y, Y: c.at.Y + c.sin*p.X + c.cos*p.Y}
}

// addCams adds every cam with its follower.
func (b *frameBuild) addCams() {
	b.camMovers = make([]*frameMover, len(b.m.Cams))
	b.camStates = make([]*camState, len(b.m.Cams))
	for i := range b.m.Cams {
		b.addCam(i)
	}
}

func (b *frameBuild) addCam(i int) {
	c, solved := &b.m.Cams[i], b.cams[i]
	shaft := b.m.Shafts[c.Shaft]
	p := FramePart{Kind: FrameCam, Name: "cam " + c.Name, Where: specPath("cams", c.Name), View: shaft.View, Shaft: c.Shaft, Index: i, At: shaft.At}
	p.join(jointShaft, c.Shaft, 0)
	p.join(jointCam, i, 0)
	level, ok := b.camLevel(i)
	if !ok {
		level = b.below(shaft.View, &p.Assumed)
	}
	thickness := sized(mech.Given{Value: c.Thickness, OK: c.Thickness > 0}, standard.FrameCamThickness, "thickness", &p.Assumed)
	p.From, p.To = level-thickness/2, level+thickness/2
	if solved.Status != CamSolved {
		p.Radius = c.Base
		b.onShaft(b.add(p), c.Shaft, p.Radius, p.From, p.To)
		return
	}
	state := &camState{cam: solved, at: shaft.At, mark: CamMark(b.m, i), phase: c.Phase, sways: b.camSway(i)}
	mover := newMover([]int{c.Shaft}, state.set)
	mover.sway = state.strays
	for _, phi := range solved.Breaks() {
		mover.addBreak(0, phi-c.Phase)
	}
	mover.resolve = max(orbitSamples, torsoRippleSamples*solved.harmonics())
	b.camMovers[i], b.camStates[i] = mover, state
	if c.Follower != nil && c.Follower.Path == mech.Axial {
		b.addFaceCam(p, c, solved)
		return
	}
	rim := newFrameRim(solved)
	p.Radius = rim.greatest
	part := b.add(p)
	body := frameBody{part: part, kind: bodyRim, view: shaft.View, low: p.From, high: p.To, rim: rimPose{frameRim: rim, centre: shaft.At, cos: 1}}
	body.disc = &frameBody{part: part, view: shaft.View, low: p.From, high: p.To, core: []r2.Vec{shaft.At}, radius: rim.greatest}
	body.stray = func(*r3.Vec) float64 { return min(rim.slope*state.turn, rim.greatest) }
	b.moving(body, mover, func(f *frameBody) { f.rim.sin, f.rim.cos = state.sin, state.cos })
	b.addFollower(i, p.From, p.To)
}

// addBreak notes an angle of the mover's k-th shaft.
func (m *frameMover) addBreak(k int, x float64) {
	for len(m.breaks) <= k {
		m.breaks = append(m.breaks, nil)
	}
	m.breaks[k] = append(m.breaks[k], x)
}

// addFaceCam adds a face cam as the drum it fills: its track and the follower's
// width, from its back to the highest lift.
func (b *frameBuild) addFaceCam(p FramePart, c *mech.Cam, solved *Cam) {
	p.Radius = c.Follower.TrackRadius + standard.FrameFollowerWidth/2
	up := 1.0
	if p.View == geom.Front { // levels run away from the viewer
		up = -1
	}
	if rise := solved.LiftRange().Max.Value; up > 0 {
		p.To += rise
	} else {
		p.From -= rise
	}
	b.onShaft(b.add(p), c.Shaft, p.Radius, p.From, p.To)
}

// addFollower adds the roller, knife edge or face that rides on a cam.
func (b *frameBuild) addFollower(i int, low, high float64) {
	c := &b.m.Cams[i]
	f, state := c.Follower, b.camStates[i]
	if f == nil {
		return
	}
	p := FramePart{Kind: FrameFollower, Name: "follower of " + c.Name, Where: specPath("cams", c.Name, "follower"),
		View: b.m.Shafts[c.Shaft].View, From: low, To: high, Shaft: mech.None, Index: i, Radius: f.Radius}
	p.join(jointCam, i, 0)
	if t := b.m.Torso; t != nil {
		for k, push := range t.Pushes {
			if push.Kind == mech.Yoke && push.Cam == i {
				p.join(jointPush, k, 0)
			}
		}
	}
	for k := range b.m.Linkages {
		for j, pin := range b.m.Linkages[k].Pins {
			if pin.Kind == mech.FollowerPin && pin.Cam == i {
				p.join(jointPin, k, j)
			}
		}
	}
	body := frameBody{view: p.View, low: low, high: high}
	sin, cos := math.Sincos(f.Heading)
	heading := p.View.Stage(r2.Vec{X: cos, Y: sin}, 0)
	body.stray = func(way *r3.Vec) float64 { return state.sway.along(heading, way) }
	if f.Path == mech.Swing {
		body.stray = func(*r3.Vec) float64 { return f.Arm * state.sway.most() }
	}
	place := func(g *frameBody) { g.core[0] = state.view(state.contact.Pitch) }
	if f.Kind == mech.Flat {
		body.core = make([]r2.Vec, 4)
		place = b.flatPlacer(i, state)
		if f.Path == mech.Swing { // about the pivot
			width := b.results[i].Face
			reach := math.Hypot(max(width.Max.Value, -width.Min.Value)+flatSpare, math.Abs(f.Face)+standard.FrameYokeThickness)
			body.stray = func(*r3.Vec) float64 { return reach * state.sway.most() }
		}
	} else {
		body.core, body.radius = make([]r2.Vec, 1), f.Radius
	}
	body.part = b.add(p)
	b.moving(body, b.camMovers[i], place)
}

// flatSpare, mm, is how much face there is beyond the contact.
const flatSpare = 2

// flatPlacer places a flat follower's face: as wide as the contact wanders, and
// as deep as a plate is thick.
func (b *frameBuild) flatPlacer(i int, state *camState) func(*frameBody) {
	width := b.results[i].Face
	f := b.m.Cams[i].Follower
	near, far := width.Min.Value-flatSpare, width.Max.Value+flatSpare
	if f.Path == mech.Straight { // faces are made alike on both sides
		far = max(far, -near)
		near = -far
	}
	return func(g *frameBody) {
		least, most := near, far
		// The face's normal points away from the cam.
		turn := state.mark
		foot := r2.Vec{}
		if f.Path == mech.Swing {
			turn += swingSense(f) * state.lift.S
			foot = f.Pivot
		}
		sin, cos := math.Sincos(turn)
		n, along := r2.Vec{X: cos, Y: sin}, r2.Vec{X: -sin, Y: cos}
		contact := r2.Sub(state.view(state.contact.Rim), state.at)
		distance := r2.Dot(contact, n)
		if f.Path == mech.Swing && r2.Dot(r2.Sub(contact, foot), along) < 0 {
			least, most = -far, -near
		}
		line := r2.Add(state.at, r2.Add(r2.Scale(distance, n), r2.Scale(r2.Dot(foot, along), along)))
		back := r2.Scale(standard.FrameYokeThickness, n)
		g.core[0] = r2.Add(line, r2.Scale(most, along))
		g.core[1] = r2.Add(line, r2.Scale(least, along))
		g.core[2], g.core[3] = r2.Add(g.core[1], back), r2.Add(g.core[0], back)
	}
}
