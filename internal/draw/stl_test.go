package draw

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"understage/internal/needtool"

	"gonum.org/v1/gonum/spatial/r2"
)

type corner [3]float32

// readSTL parses a binary file strictly and checks that its surface is closed:
// every edge run once each way.
func readSTL(t *testing.T, data []byte) (volume float64, facets int) {
	t.Helper()
	count := binary.LittleEndian.Uint32(data[80:])
	if len(data) != 84+50*int(count) {
		t.Fatalf("%d bytes for %d facets", len(data), count)
	}
	edges := map[[2]corner]int{}
	for i := range int(count) {
		var v [4]corner
		for k := range 12 {
			v[k/3][k%3] = math.Float32frombits(binary.LittleEndian.Uint32(data[84+50*i+4*k:]))
		}
		for k := range 3 {
			edges[[2]corner{v[1+k], v[1+(k+1)%3]}]++
		}
		a, b, c := v[1], v[2], v[3]
		cross := func(i, j int) float64 { return float64(b[i])*float64(c[j]) - float64(b[j])*float64(c[i]) }
		volume += (float64(a[0])*cross(1, 2) + float64(a[1])*cross(2, 0) + float64(a[2])*cross(0, 1)) / 6
	}
	for e, n := range edges {
		if n != 1 || edges[[2]corner{e[1], e[0]}] != 1 {
			t.Fatalf("edge %v is run %d times one way and %d the other", e, n, edges[[2]corner{e[1], e[0]}])
		}
	}
	return volume, int(count)
}

// wavy is a star-shaped closed path with an uneven rim and holes inside it.
func wavy(seed uint64) Solid {
	rng := rand.New(rand.NewPCG(seed, 2))
	k1, k2, amp := float64(2+rng.IntN(4)), float64(5+rng.IntN(8)), 4*rng.Float64()
	p, _ := FitArcs(func(t float64) (r2.Vec, r2.Vec) {
		r := 40 + 6*math.Cos(k1*t) + amp*math.Sin(k2*t)
		dr := -6*k1*math.Sin(k1*t) + amp*k2*math.Cos(k2*t)
		sin, cos := math.Sincos(t)
		return r2.Vec{X: r * cos, Y: r * sin}, r2.Vec{X: dr*cos - r*sin, Y: dr*sin + r*cos}
	}, 0, 2*math.Pi, 0.01)
	p.Closed = true
	s := Solid{Outer: p, Thickness: 3 + rng.Float64()}
	for range rng.IntN(9) {
		// One hole in each cell of a grid, so that they keep apart.
		at := r2.Vec{X: float64(rng.IntN(5)-2) * 9, Y: float64(rng.IntN(5)-2) * 9}
		hole := Round(at, 1+3*rng.Float64())
		free := true
		for _, h := range s.Holes {
			free = free && r2.Norm(r2.Sub(h.Bounds().Centre(), at)) > 1
		}
		if free {
			s.Holes = append(s.Holes, hole)
		}
	}
	return s
}

func TestSTLClosedAndFull(t *testing.T) {
	for seed := range uint64(200) {
		s := wavy(seed)
		data, err := s.STL("part")
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		area := s.Outer.Area()
		edge := s.Outer.Length()
		for _, h := range s.Holes {
			area -= h.Area()
			edge += h.Length()
		}
		volume, _ := readSTL(t, data)
		near(t, fmt.Sprintf("seed %d: volume", seed), volume, area*s.Thickness, edge*solidTolerance*s.Thickness)
	}
}

func TestSTLRefuses(t *testing.T) {
	square := Polygon(r2.Vec{}, r2.Vec{X: 10}, r2.Vec{X: 10, Y: 10}, r2.Vec{Y: 10})
	for name, s := range map[string]Solid{
		"no thickness": {Outer: square},
		"not a number": {Outer: square, Thickness: math.NaN()},
		"no outline":   {Outer: Path{Closed: true}, Thickness: 1},
		"hole outside": {Outer: square, Thickness: 1, Holes: []Path{Round(r2.Vec{X: 40, Y: 5}, 2)}},
	} {
		if _, err := s.STL(name); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// An independent reader finds the same volume and nothing to mend.
func TestSTLByAdmesh(t *testing.T) {
	admesh := needtool.Path(t, "admesh", "admesh")
	s := wavy(5)
	data, err := s.STL("part")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "part.stl")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(admesh, file).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	fields := map[string]float64{}
	for _, line := range strings.Split(string(out), "\n") {
		for _, name := range []string{"Edges fixed", "Facets removed", "Facets added", "Facets reversed", "Backwards edges", "Degenerate facets"} {
			if _, after, ok := strings.Cut(line, name); ok {
				var v float64
				if n, _ := fmt.Sscanf(strings.TrimLeft(after, " :"), "%g", &v); n == 1 {
					fields[name] = v
				}
			}
		}
		if _, after, ok := strings.Cut(line, "Volume"); ok {
			var v float64
			fmt.Sscanf(strings.TrimLeft(after, " :"), "%g", &v)
			want, _ := readSTL(t, data)
			near(t, "volume", v, want, 1e-4*want)
		}
	}
	if len(fields) < 4 {
		t.Fatalf("only %d lines of the summary were understood:\n%s", len(fields), out)
	}
	for name, v := range fields {
		if v != 0 {
			t.Errorf("%s: %g", name, v)
		}
	}
}
