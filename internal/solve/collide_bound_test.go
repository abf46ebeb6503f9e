package solve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"testing"

	"understage/internal/spec"
)

// frameVariant is a built-in figure with some of its values drawn at random, laid
// out in space; nil when the spec refuses them.
func frameVariant(t *testing.T, r *rand.Rand, name string) *frameBuild {
	t.Helper()
	var all []string
	vary := func(path string, middle, spread float64) {
		all = append(all, fmt.Sprintf("%s=%.4g", path, middle+spread*(2*r.Float64()-1)))
	}
	text, pushes := name, []string(nil)
	switch name {
	case "rod":
		text = "watchman"
		pushes = append(pushes, fmt.Sprintf("torso.pushes.bow={by: rod, crank: {shaft: fore, radius: %.3g}, depth: 150, pin_depth: %.4g, length: 38}", 3+2*r.Float64(), 140+20*r.Float64()))
		vary("cams.sway.level", -47, 8)
		vary("drive.belts.loop.level", -57, 9)
		vary("linkages.staff.level", -62, 12)
	case "edge":
		text = "watchman"
		vary("cams.sway.level", -47, 8)
		vary("cams.bow.base", 30, 2)
		vary("cams.bow.waves.1.amplitude", 1, 0.8)
		vary("drive.belts.loop.level", -57, 9)
	case "watchman":
		vary("cams.sway.waves.0.amplitude", 4.4, 2)
		vary("cams.sway.waves.1.at", 70, 60)
		vary("cams.sway.level", -47, 8)
		vary("cams.bow.level", -57, 6)
		vary("cams.bow.base", 17, 4)
		vary("torso.guide.depth", 112, 12)
		vary("frame.plates.top.level", -34, 8)
		vary("linkages.staff.level", -82, 12)
		vary("drive.belts.loop.level", -66, 16)
		vary("drive.belts.loop.run.1.teeth", 40, 0.4)
		laws := [...]string{"uniform", "parabolic", "harmonic", "4-5-6-7"}
		all = append(all, "cams.bow.motion.0.law="+laws[r.IntN(len(laws))], fmt.Sprintf("drive.shafts.side.at=[%.4g, %.4g]", 32+8*r.Float64(), 6*r.Float64()))
	case "baker":
		vary("cams.rock.waves.0.amplitude", 0.4, 0.35)
		vary("cams.rock.base", 0.7, 0.2)
		vary("cams.nod.through.3.1", 0.5, 0.4)
		vary("torso.pushes.rock.depth", 6.25, 0.5)
		vary("torso.guide.depth", 5, 0.6)
		vary("torso.shaft.depth", 7.5, 1)
		vary("linkages.arm.level", -1.2, 1.2)
		vary("linkages.arm.pins.crank.radius", 0.3, 0.08)
		vary("drive.shafts.rock.level", 0, 0.8)
	case "tinker":
		vary("cams.hammer.base", 14, 4)
	}
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	figure, ok := spec.FindFigure(text)
	if !ok {
		t.Fatalf("no figure %s", text)
	}
	written := figure.Text
	if name == "edge" {
		written = onEdge(t, written)
	}
	loaded, messages := spec.Load(spec.Source{Name: name, Text: written}, append(all[:r.IntN(len(all)+1)], pushes...), nil)
	if len(messages) > 0 {
		return nil
	}
	return buildFrame(loaded.Model, SolveParts(loaded.Model, PartBelts|PartCams|PartTorso))
}

// onEdge returns the watchman's spec with the torso's shaft on the edge of the bow
// cam.
func onEdge(t *testing.T, text []byte) []byte {
	t.Helper()
	cam := regexp.MustCompile(`(?s)\n  bow:\n    shaft: fore.*?\n\n`)
	push := regexp.MustCompile(`\n    bow: \{cam: bow, by: yoke.*?\n`)
	if !cam.Match(text) || !push.Match(text) {
		t.Fatal("the figure has changed")
	}
	text = cam.ReplaceAll(text, []byte("\n  bow:\n    shaft: fore\n    base: 30\n    thickness: 5\n    waves: [{per_turn: 1, amplitude: 3}, {per_turn: 2, amplitude: 1, at: 30 deg}]\n\n"))
	return push.ReplaceAll(text, []byte("\n    bow: {cam: bow, by: edge, depth: 150}\n"))
}

// frameFigures are the built-in figures, and the watchman with other pushes.
var frameFigures = [...]string{"watchman", "baker", "tinker", "rod", "edge"}

// No two bodies come nearer than their bound while their shafts stay within reach.
func TestBoundsHold(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 15))
	tight, tried, bounded := 0, 0, map[string]int{}
	for trial := range draws(60) {
		name := frameFigures[trial%len(frameFigures)]
		b := frameVariant(t, r, name)
		if b == nil {
			continue
		}
		bounded[name]++
		s := &b.s
		s.far = 400
		s.pair()
		for _, g := range s.groups {
			r.Shuffle(len(g.pairs), func(i, j int) { g.pairs[i], g.pairs[j] = g.pairs[j], g.pairs[i] })
			for q := range g.pairs[:min(len(g.pairs), 8)] {
				if len(g.movers) == 0 {
					break
				}
				p := &g.pairs[q]
				g.drawRims(p)
				for range 6 {
					n, k := boundOnce(t, r, g, p)
					tried, tight = tried+n, tight+k
				}
			}
		}
	}
	if tried < 20*draws(60) || tight < tried/20 || len(bounded) < len(frameFigures) {
		t.Errorf("of %d bounds %d were near what they bound, of %v", tried, tight, bounded)
	}
}

// boundOnce checks one bound, and counts it and whether it comes near the least of
// some places within reach.
func boundOnce(t *testing.T, r *rand.Rand, g *frameGroup, p *framePair) (tried, tight int) {
	t.Helper()
	s := g.s
	x, reach := make([]float64, len(g.shafts)), make([]float64, len(g.shafts))
	for i, shaft := range g.shafts {
		if s.ratios[shaft].Driven() {
			x[i], reach[i] = 2*math.Pi*r.Float64(), math.Exp(-5*r.Float64())
		}
	}
	g.turnTo(x)
	copy(g.reach, reach)
	g.swaying++
	gap, low := g.bound(p, 1e6)
	if gap != gap || math.IsInf(low, -1) {
		return 0, 0
	}
	names := [2]string{s.parts[s.bodies[p.a].part].Name, s.parts[s.bodies[p.b].part].Name}
	if exact := g.gap(p); math.Abs(gap-exact) > 2*boundFine*math.Abs(exact)+1e-9 {
		t.Fatalf("%v: gap %g, bound from %g", names, exact, gap)
	}
	least := gap
	near := make([]float64, len(x))
	for range 120 {
		for i := range near {
			near[i] = orbitWrap(x[i] + reach[i]*max(-1, min(1, 2.4*r.Float64()-1.2)))
		}
		g.turnTo(near)
		if v := g.gap(p); v == v {
			least = min(least, v)
		}
	}
	if least < low-1e-6 {
		t.Fatalf("%v come within %g, bound %g, from %g at %v within %v", names, least, low, gap, x, reach)
	}
	if least-low < 0.5*(gap-low)+0.01 {
		tight = 1
	}
	return 1, tight
}

// What is said to be the least distance over the repeat is not beaten at instants
// spread over it, and what is not listed stays farther apart than far.
func TestClearancesAgainstInstants(t *testing.T) {
	const instants = 800
	r := rand.New(rand.NewPCG(21, 2))
	listed := 0
	for trial := range draws(24) {
		b := frameVariant(t, r, frameFigures[trial%len(frameFigures)])
		if b == nil {
			continue
		}
		s := &b.s
		least := map[[2]int]float64{}
		for _, c := range s.clearances() {
			least[[2]int{c.A, c.B}] = c.Gap
			listed++
		}
		for _, pair := range nearPairs(s) {
			p := &pair.p
			key := [2]int{s.bodies[p.a].part, s.bodies[p.b].part}
			slices.Sort(key[:])
			want, ok := least[key]
			if !ok {
				want = s.far
			}
			if want < 0 { // how deep is known to overlapFine, or over three shafts not searched
				want -= overlapFine
				if len(pair.g.shafts) > 2 {
					continue
				}
			}
			for range instants {
				turns := 5000 * r.Float64()
				pair.g.turnAt(turns)
				if gap := pair.g.gap(p); gap < want-1e-6 {
					t.Fatalf("trial %d: %s and %s are %g apart at turn %g, said to be %g", trial, s.parts[key[0]].Name, s.parts[key[1]].Name, gap, turns, want)
				}
			}
		}
	}
	if listed < 5*draws(24) {
		t.Errorf("only %d clearances", listed)
	}
}

// lonePair is a pair of bodies in a group of its own.
type lonePair struct {
	g *frameGroup
	p framePair
}

// nearPairs lists the pairs that move and come nearer than a little more than far at
// one of a few angles, whatever steps others fall out by. Not so rods that lie flat:
// by their section they seem nearer than the blocks they stay within.
func nearPairs(s *frameScene) []lonePair {
	var out []lonePair
	for i := range s.bodies {
		for j := i + 1; j < len(s.bodies); j++ {
			a, b := &s.bodies[i], &s.bodies[j]
			if a.part == b.part || a.mover == nil && b.mover == nil || s.parts[a.part].touches(&s.parts[b.part]) {
				continue
			}
			g := newFrameGroup(s)
			p := framePair{a: i, b: j, movers: [2]int{g.add(a.mover), g.add(b.mover)}}
			for k := range 40 {
				g.turnAt(7.3 * float64(k))
				if !g.stand(p.movers[0], i) || !g.stand(p.movers[1], j) {
					continue
				}
				if a.kind == bodyRod && rodCos(a) < 0.9 || b.kind == bodyRod && rodCos(b) < 0.9 {
					break
				}
				if frameGap(a.swept(), b.swept()) < s.far+2 {
					g.drawRims(&p)
					out = append(out, lonePair{g, p})
					break
				}
			}
		}
	}
	return out
}
