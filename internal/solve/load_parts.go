package solve

import (
	"math"
	"slices"

	"understage/internal/mech"
)

// What of a figure weighs, presses and rubs, and what the spec leaves out.

func (l *Load) addTorso(t *Torso, carries []bool) {
	spec := l.m.Torso
	if spec == nil {
		return
	}
	if !spec.Mass.OK {
		l.Gaps = append(l.Gaps, LoadGap{Where: "torso", What: "mass"})
		return
	}
	if !spec.CentreGiven {
		l.Gaps = append(l.Gaps, LoadGap{Where: "torso", What: "centre_of_mass"})
	}
	if t == nil || t.Status != TorsoPosed {
		return
	}
	l.Known = true
	l.torso, l.body = t, newTorsoLoad(l.m)
	for i, p := range spec.Pushes {
		shaft := p.Crank.Shaft
		if p.Kind != mech.Rod {
			shaft = l.m.Cams[p.Cam].Shaft
			carries[p.Cam] = carries[p.Cam] || p.Kind == mech.Yoke
		}
		at := l.useShaft(shaft)
		if t.pushes[i].axis == len(l.place) {
			l.place = append(l.place, at)
		}
		l.assumeRub("torso.pushes."+p.Name, p.Rub, p.Kind != mech.Rod)
	}
	for i, a := range t.Orbit().Axes {
		l.joinAxis(l.place[i], a)
	}
	l.assumeRub("torso.guide", spec.Guide.Rub, true)
	if !spec.PivotRadius.OK {
		l.Gaps = append(l.Gaps, LoadGap{Where: "torso", What: "pivot_radius"})
	}
	l.assumeRub("torso", spec.PivotRub, spec.PivotRadius.OK)
}

// assumeRub notes that a contact which rubs has no coefficient given.
func (l *Load) assumeRub(where string, r mech.Rub, rubs bool) {
	if rubs && resolveRub(r, l.m.Breakaway).assumed {
		l.Gaps = append(l.Gaps, LoadGap{Where: where, What: "friction", Assumed: true})
	}
}

// joinAxis adds the breaks and samples of one part's axis to the load's.
func (l *Load) joinAxis(at int, a OrbitAxis) {
	mine := &l.Orbit.Axes[at]
	mine.Breaks = append(mine.Breaks, a.Breaks...)
	mine.Samples = max(mine.Samples, a.Samples)
}

func (l *Load) addChain(i int, c *Chain, carries []bool) {
	spec := &l.m.Linkages[i]
	where := "linkages." + spec.Name
	for _, b := range spec.Bars {
		if !b.Mass.OK {
			l.Gaps = append(l.Gaps, LoadGap{Where: where, What: "mass of bars"})
			break
		}
	}
	for _, p := range spec.Plates {
		if !p.Mass.OK {
			l.Gaps = append(l.Gaps, LoadGap{Where: where, What: "plate_mass"})
			break
		}
	}
	if c == nil {
		return
	}
	force := newChainLoad(l.m, spec)
	if !force.ok || !force.heavy() {
		return
	}
	l.Known = true
	chain := loadChain{index: i, chain: c, pose: c.NewPose(), force: force}
	for _, shaft := range c.Shafts {
		chain.place = append(chain.place, l.useShaft(shaft))
		chain.at = append(chain.at, math.NaN())
	}
	for k := range c.steps {
		if s := &c.steps[k]; s.kind == stepCrank || s.kind == stepFollower {
			chain.steps = append(chain.steps, s)
		}
	}
	for _, p := range spec.Pins {
		if p.Kind == mech.FollowerPin {
			carries[p.Cam] = true
			l.joinCam(p.Cam)
		}
	}
	l.chains = append(l.chains, chain)
	if !spec.PinDiameter.OK {
		l.Gaps = append(l.Gaps, LoadGap{Where: where, What: "pin_diameter"})
	}
	l.assumeRub(where, spec.PinRub, spec.PinDiameter.OK)
}

// addCam takes a cam in if anything presses on it.
func (l *Load) addCam(i int, d *Drive, carries bool) {
	cam := &l.m.Cams[i]
	load := &cam.Load
	own := load.Mass.Value > 0 || load.SpringRate.Value > 0 || load.SpringPreload.Value > 0 || load.Force.OK
	if !(own || carries) || !d.Ratios[cam.Shaft].Driven() || l.cams[i].Status != CamSolved {
		return
	}
	l.Known = true
	if l.cams[i].load.Assumed {
		l.Gaps = append(l.Gaps, LoadGap{Where: "cams." + cam.Name, What: "friction", Assumed: true})
	}
	l.joinCam(i)
	l.loaded = append(l.loaded, i)
}

// joinCam takes a cam's shaft and joints into the orbit.
func (l *Load) joinCam(i int) {
	cam := &l.m.Cams[i]
	axis := OrbitAxis{Samples: torsoRippleSamples * l.cams[i].harmonics()}
	for _, phi := range l.cams[i].Breaks() {
		axis.Breaks = append(axis.Breaks, orbitWrap(phi-cam.Phase))
	}
	l.joinAxis(l.useShaft(cam.Shaft), axis)
}

// gapsFirst orders gaps: what counts as nothing before what is assumed.
func gapsFirst(gaps []LoadGap) []LoadGap {
	slices.SortStableFunc(gaps, func(a, b LoadGap) int {
		switch {
		case a.Assumed == b.Assumed:
			return 0
		case b.Assumed:
			return -1
		default:
			return 1
		}
	})
	return gaps
}
