package solve

import (
	"math"

	"understage/internal/geom"
	"understage/internal/mech"
	"understage/internal/standard"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// addTorso adds the shaft, the guide, the pushes' plates and rods, the points
// and what must be kept clear.
func (b *frameBuild) addTorso(torso *Torso) {
	t := b.m.Torso
	if t == nil {
		return
	}
	b.addObstacles()
	if torso == nil || torso.Status != TorsoPosed && torso.Status != TorsoPushNotDriven {
		return
	}
	state := b.newTorsoState(torso)
	mover := newMover(torsoShafts(b.m), state.set)
	if torso.yokes {
		mover.sway = state.strays
	}
	for k, axis := range torso.Orbit().Axes {
		for _, x := range axis.Breaks {
			mover.addBreak(k, x)
		}
		mover.resolve = max(mover.resolve, axis.Samples)
	}
	b.torsoMover, b.torsoState = mover, state
	b.addTorsoShaft(state, mover)
	b.addGuide(state, mover)
	for k := range t.Pushes {
		b.addPush(k, torso, mover)
	}
	for i, point := range t.Points {
		b.addPoint(i, point, state, mover)
	}
}

// joinTorso notes what every part that moves as one with the torso shares.
func joinTorso(p *FramePart) {
	p.join(jointTorso, 0, 0)
	p.join(jointOpening, 0, 0)
}

func (b *frameBuild) addTorsoShaft(state *torsoState, mover *frameMover) {
	t := b.m.Torso
	p := FramePart{Kind: FrameTorsoShaft, Name: "torso shaft", Where: "torso.shaft", From: t.Pivot - t.ShaftDepth, To: t.Pivot,
		Shaft: mech.None, Index: mech.None, Radius: t.ShaftDiameter / 2}
	joinTorso(&p)
	p.join(jointGuide, 0, 0)
	for k, push := range t.Pushes {
		p.join(jointPush, k, 0)
		if push.Kind == mech.Edge {
			p.join(jointCam, push.Cam, 0)
		}
	}
	b.torsoPart = b.add(p)
	body := frameBody{part: b.torsoPart, kind: bodyRod, radius: t.ShaftDiameter / 2}
	body.stray = func(way *r3.Vec) float64 { return state.strayOfShaft(t.ShaftDepth, t.ShaftDiameter/2, way) }
	b.moving(body, mover, func(f *frameBody) {
		f.a, f.b = state.at(r3.Vec{Z: -t.ShaftDepth}), state.at(r3.Vec{})
	})
}

// addGuide adds the slotted arm, which moves with the shaft, and its pin, which
// hangs from the stage or stands on the nearest plate below.
func (b *frameBuild) addGuide(state *torsoState, mover *frameMover) {
	t := b.m.Torso
	g := t.Guide
	rest := r3.Norm(r3.Vec{X: g.Pin.X, Y: g.Pin.Y})
	if !(rest > 0) {
		return
	}
	arm := FramePart{Kind: FrameGuideArm, Name: "guide arm", Where: "torso.guide", Shaft: mech.None, Index: mech.None}
	width := sized(g.Width, max(standard.FrameArmWidth, g.PinDiameter+g.Clearance+6), "width", &arm.Assumed)
	thick := sized(g.Thickness, standard.FrameArmThickness, "thickness", &arm.Assumed)
	end := rest + standard.FrameArmEnd
	if g.SlotGiven {
		end = g.SlotMax + g.PinDiameter/2 + standard.FrameArmEnd
	}
	middle := t.Pivot - g.Depth
	arm.From, arm.To = middle-thick/2, middle+thick/2
	joinTorso(&arm)
	arm.join(jointGuide, 0, 0)
	body := frameBody{kind: bodyHull, points: make([]r3.Vec, 8), part: b.add(arm)}
	along := r3.Vec{X: g.Pin.X / rest, Y: g.Pin.Y / rest}
	across := r3.Vec{X: -along.Y, Y: along.X}
	corner := func(far, side, up float64) r3.Vec {
		p := r3.Add(r3.Scale(far, along), r3.Scale(side*width/2, across))
		p.Z = -g.Depth + up*thick/2
		return p
	}
	var corners [8]r3.Vec
	for i := range corners {
		far, side, up := 0.0, 1.0, 1.0
		if i&1 != 0 {
			far = end
		}
		if i&2 != 0 {
			side = -1
		}
		if i&4 != 0 {
			up = -1
		}
		corners[i] = corner(far, side, up)
	}
	body.stray = func(way *r3.Vec) float64 { return state.strayOf(corners[:], way) }
	b.moving(body, mover, func(f *frameBody) {
		for i, c := range corners {
			f.points[i] = state.at(c)
		}
	})
	b.addGuidePin(middle, thick)
}

func (b *frameBuild) addGuidePin(arm, thick float64) {
	const over = 4 // mm of pin beyond the arm
	g := b.m.Torso.Guide
	p := FramePart{Kind: FrameGuidePin, Name: "guide pin", Where: "torso.guide.pin", From: arm - thick/2 - over, To: -b.m.Torso.Stage.Thickness,
		Shaft: mech.None, Index: mech.None, At: g.Pin, Radius: g.PinDiameter / 2}
	p.join(jointGuide, 0, 0)
	// It stands on the nearest plate below the arm; without one it hangs from the
	// stage.
	b.pinPlate = mech.None
	nearest := math.Inf(1)
	for i, plate := range b.m.Frame.Plates {
		if plate.View != geom.Plan || len(plate.Outline) > 0 && !insideOutline(plate.Outline, g.Pin) {
			continue
		}
		if gap := arm - plate.Level; gap > 0 && gap < nearest {
			nearest, b.pinPlate = gap, i
		}
	}
	if b.pinPlate != mech.None {
		plate := &b.out.Parts[b.plates[b.pinPlate]]
		p.From, p.To = plate.From, min(arm+thick/2+over, -b.m.Torso.Stage.Thickness)
		p.join(jointHole, b.pinPlate, 0)
	} else {
		p.join(jointOpening, 0, 0)
	}
	b.disc(b.add(p), geom.Plan, g.Pin, p.Radius, p.From, p.To)
}

// addPush adds a yoke's plate or a rod with its crank.
func (b *frameBuild) addPush(k int, torso *Torso, mover *frameMover) {
	push := &b.m.Torso.Pushes[k]
	switch push.Kind {
	case mech.Yoke:
		b.addYoke(k, torso)
	case mech.Rod:
		b.addRod(k, torso, mover)
	}
}

// addYoke adds the slotted plate: from the follower to beyond its slot, as wide
// as the shaft's travel in the slot with a margin. Where a lever stands between
// follower and plate, the plate is only the part about the slot.
func (b *frameBuild) addYoke(k int, torso *Torso) {
	t := b.m.Torso
	push := &t.Pushes[k]
	p := FramePart{Kind: FrameYoke, Name: "yoke " + push.Name, Where: specPath("torso", "pushes", push.Name), Shaft: mech.None, Index: k}
	thick := sized(push.Thickness, standard.FrameYokeThickness, "thickness", &p.Assumed)
	level := t.Pivot - push.Depth
	p.From, p.To = level-thick/2, level+thick/2
	p.join(jointPush, k, 0)
	p.join(jointCam, push.Cam, 0) // its follower keeps it off the cam
	across := r2.Vec{X: -push.Along.Y, Y: push.Along.X}
	slot := b.slotTravel(k, torso)
	margin := t.ShaftDiameter/2 + standard.FrameYokeMargin
	low, high := slot.Min.Value-margin, slot.Max.Value+margin
	back := -margin // along the push, from the shaft's axis
	follower := b.yokeReach(push)
	body := frameBody{view: geom.Plan, low: p.From, high: p.To, core: make([]r2.Vec, 4)}
	body.part = b.add(p)
	drive, mover := b.yokeMover(k, torso)
	body.stray = drive.stray
	b.moving(body, mover, func(f *frameBody) {
		near, far := drive.travel+back, drive.travel+margin
		if follower.OK {
			// The follower lies on the side it pushes from, at a fixed distance.
			near = min(near, drive.travel+follower.Value)
		}
		f.core[0] = r2.Add(r2.Scale(near, push.Along), r2.Scale(low, across))
		f.core[1] = r2.Add(r2.Scale(far, push.Along), r2.Scale(low, across))
		f.core[2] = r2.Add(r2.Scale(far, push.Along), r2.Scale(high, across))
		f.core[3] = r2.Add(r2.Scale(near, push.Along), r2.Scale(high, across))
	})
}

// slotTravel returns how far the shaft travels across a yoke's direction: the
// true extremes.
func (b *frameBuild) slotTravel(k int, torso *Torso) Extent {
	if b.torso != nil && b.torso.Pushes[k].Across.Valid {
		return b.torso.Pushes[k].Across
	}
	along := b.m.Torso.Pushes[k].Along
	var pose TorsoPose
	orbit := torso.Orbit()
	orbit.Bound = b.s.bound
	return orbit.Extents(Field{N: 1, All: func(x, out []float64) {
		out[0] = math.NaN()
		if torso.PoseAt(x, &pose, 0); pose.Posed() {
			at := torso.Contact(&pose, k)
			out[0] = r2.Dot(r2.Vec{X: at.X, Y: at.Y}, perpendicular(along))
		}
	}})[0]
}

// yokeReach returns where the follower's end of a yoke plate lies along the push,
// from the slot's centre line, where the plate joins it directly: a straight
// follower moves along the push as the plate does.
func (b *frameBuild) yokeReach(push *mech.Push) mech.Given {
	c := &b.m.Cams[push.Cam]
	f := c.Follower
	if f == nil || f.Path != mech.Straight || b.m.Shafts[c.Shaft].View != geom.Plan || push.Ratio != 1 || b.cams[push.Cam].Status != CamSolved {
		return mech.Given{}
	}
	sin, cos := math.Sincos(f.Heading)
	heading := r2.Vec{X: cos, Y: sin}
	if r2.Dot(heading, push.Along) < 1-1e-9 {
		return mech.Given{}
	}
	// At the plumb lift the slot's line crosses the torso's axis, the origin.
	distance := b.cams[push.Cam].PrimeRadius()
	if f.Offset != 0 {
		distance = math.Sqrt(max(distance*distance-f.Offset*f.Offset, 0))
	}
	at := r2.Dot(b.m.Shafts[c.Shaft].At, push.Along) + distance + push.Plumb
	return mech.Given{Value: at, OK: true}
}

// addRod adds a push rod with the crank that moves it.
func (b *frameBuild) addRod(k int, torso *Torso, mover *frameMover) {
	push := &b.m.Torso.Pushes[k]
	shaft := push.Crank.Shaft
	p := FramePart{Kind: FrameRod, Name: "rod " + push.Name, Where: specPath("torso", "pushes", push.Name), Shaft: mech.None, Index: k}
	radius := standard.FrameBarThickness / 2
	level := b.m.Torso.Pivot - push.PinDepth
	p.From, p.To = level-radius, level+radius
	p.join(jointPush, k, 0)
	crank := FramePart{Kind: FrameCrank, Name: "crank of " + push.Name, Where: specPath("torso", "pushes", push.Name, "crank"),
		View: b.m.Shafts[shaft].View, Shaft: shaft, Index: k, At: b.m.Shafts[shaft].At}
	crank.From, crank.To = level-radius-standard.FrameWasher-standard.FrameBarThickness, level-radius-standard.FrameWasher
	crank.Radius = push.Crank.Radius + standard.FrameBarWidth/2
	crank.join(jointPush, k, 0)
	crank.join(jointShaft, shaft, 0)
	b.onShaft(b.add(crank), shaft, crank.Radius, crank.From, crank.To)
	if b.s.ratios[shaft].Den == 0 && b.s.ratios[shaft].Num == 0 {
		return
	}
	sign := b.d.Sign(b.m, shaft)
	own := 0
	for i, s := range mover.shafts {
		if s == shaft {
			own = i
		}
	}
	turn := 0.0
	state := b.newTorsoState(torso)
	rod := newMover(mover.shafts, func(x []float64) bool {
		turn = push.Crank.Phase + sign*x[own]
		return state.set(x)
	})
	rod.breaks, rod.resolve = mover.breaks, mover.resolve
	body := frameBody{kind: bodyRod, radius: radius, part: b.add(p)}
	b.moving(body, rod, func(f *frameBody) {
		sin, cos := math.Sincos(turn)
		at := b.m.Shafts[shaft].At
		f.a = r3.Vec{X: at.X + push.Crank.Radius*cos, Y: at.Y + push.Crank.Radius*sin, Z: b.m.Torso.Pivot - push.PinDepth}
		f.b = state.at(r3.Vec{Z: -push.Depth})
	})
}

// addPoint adds a point of the figure as a ball.
func (b *frameBuild) addPoint(i int, point mech.TorsoPoint, state *torsoState, mover *frameMover) {
	if point.Radius <= 0 {
		return
	}
	z := b.m.Torso.Pivot + point.At.Z
	p := FramePart{Kind: FramePoint, Name: point.Name, Where: specPath("torso", "points", point.Name), From: z - point.Radius, To: z + point.Radius,
		Shaft: mech.None, Index: i, At: r2.Vec{X: point.At.X, Y: point.At.Y}, Radius: point.Radius}
	joinTorso(&p)
	p.join(jointRest, 0, 0)
	body := frameBody{kind: bodyHull, radius: point.Radius, points: make([]r3.Vec, 1), part: b.add(p)}
	places := []r3.Vec{point.At}
	body.stray = func(way *r3.Vec) float64 { return state.strayOf(places, way) }
	b.moving(body, mover, func(f *frameBody) { f.points[0] = state.at(point.At) })
}

// addObstacles adds what the figure must keep clear of.
func (b *frameBuild) addObstacles() {
	for i, o := range b.m.Torso.KeepClear {
		p := FramePart{Kind: FrameObstacle, Name: o.Name, Where: specPath("torso", "keep_clear", o.Name), Shaft: mech.None, Index: i}
		p.join(jointRest, 0, 0)
		if o.Kind == mech.CylinderObstacle {
			p.From, p.To, p.At, p.Radius = o.Cylinder.From, o.Cylinder.To, o.Cylinder.At, o.Cylinder.Radius
			b.disc(b.add(p), geom.Plan, p.At, p.Radius, p.From, p.To)
			continue
		}
		low, high := o.Box.Min, o.Box.Max
		p.From, p.To = low.Z, high.Z
		core := []r2.Vec{{X: low.X, Y: low.Y}, {X: high.X, Y: low.Y}, {X: high.X, Y: high.Y}, {X: low.X, Y: high.Y}}
		b.prism(b.add(p), geom.Plan, core, 0, p.From, p.To)
	}
}
