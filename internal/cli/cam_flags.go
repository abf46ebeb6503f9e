package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"understage/internal/spec"
	"understage/internal/units"

	"github.com/spf13/pflag"
)

// camFlags are the flags that make up a cam without a spec. Each is written into
// a spec of its own, so that it is read, checked and explained as a spec is.
type camFlags struct {
	set *pflag.FlagSet

	laws                          []string
	lift, over, dwell, back, side string
	returnLaw                     string
	waves                         []string
	through                       string
	eccentric                     string
	measured, radii               string
	inches, clockwise             bool
	rpm                           string
	text                          map[string]*string
	knife, flat, vertical         bool
	pivot                         string
	spring, preload               string
	guide, overhang, guideRub     string
}

// camShapeFlags say a cam's shape; one of them makes the command work from
// flags alone.
var camShapeFlags = []string{"law", "wave", "through", "eccentric", "measured", "radii"}

// camPlainFlags are flags whose text goes straight into the spec.
var camPlainFlags = []struct{ flag, path, usage string }{
	{"base", "base", "radius of the base circle"},
	{"thickness", "thickness", "thickness of the plate"},
	{"roller", "follower.radius", "a roller of this radius rides on the cam"},
	{"offset", "follower.offset", "the follower's line passes the axis by this, positive to the right of its heading"},
	{"arm", "follower.arm", "with --pivot: from the pivot to the roller's centre or knife's edge"},
	{"face", "follower.face", "with --pivot and --flat: distance of the face from the pivot"},
	{"track", "follower.track_radius", "a face cam with a track of this radius"},
	{"width", "follower.width", "width of a flat face"},
	{"mass", "mass", "mass that moves with the follower"},
	{"load", "force", "steady `force` against the lift"},
	{"friction", "friction", "coefficient of friction at the contact"},
	{"material", "material", "what the cam is made of"},
	{"follower-material", "follower.material", "what the follower is made of"},
	{"modulus", "modulus", "Young's modulus of the cam, such as 2.1 GPa"},
	{"follower-modulus", "follower.modulus", "Young's modulus of the follower"},
	{"wear-rate", "wear_rate", "your own wear rate of the cam, such as '2e-6 mm3/(N·m)'"},
	{"follower-wear-rate", "follower.wear_rate", "your own wear rate of the follower"},
	{"wear-depth", "wear_depth", "depth at which a part is worn out"},
}

func (c *camFlags) add(f *pflag.FlagSet) {
	c.set = f
	f.StringArrayVar(&c.laws, "law", nil, "motion `law` of rise and return, several to compare: uniform, parabolic, harmonic, cycloidal, modified-trapezoid, modified-sine, 3-4-5 or 4-5-6-7")
	f.StringVar(&c.lift, "lift", "", "how far the follower rises")
	f.StringVar(&c.over, "over", "", "`angle` that the rise takes")
	f.StringVar(&c.dwell, "dwell", "", "`angle` for which it then stands still")
	f.StringVar(&c.back, "return-over", "", "`angle` that the return takes, 0 for a drop; as --over unless given")
	f.StringVar(&c.returnLaw, "return-law", "", "motion `law` of the return, where it is another")
	f.StringArrayVar(&c.waves, "wave", nil, "a wave as `PER_TURN:AMPLITUDE[@ANGLE]`, such as 2:1.6@70; repeatable")
	f.StringVar(&c.through, "through", "", "points as `ANGLE:LIFT,...` that a smooth curve runs through")
	f.StringVar(&c.eccentric, "eccentric", "", "a round disc as `RADIUS,OFFSET`")
	f.StringVar(&c.measured, "measured", "", "CSV `file` of measured radii with the header angle,radius")
	f.StringVar(&c.radii, "radii", "", "measured radii as `R,R,...`, at even angles from the mark")
	f.StringVar(&c.pivot, "pivot", "", "a swinging follower's pivot as `U,V` from the cam's axis")
	f.StringVar(&c.side, "side", "", "with --pivot: left or right, as seen from axis to pivot")
	f.BoolVar(&c.knife, "knife", false, "a knife edge rides on the cam (so it is unless --roller or --flat)")
	f.BoolVar(&c.flat, "flat", false, "a flat face rides on the cam")
	f.BoolVar(&c.vertical, "vertical", false, "the follower lifts its mass against gravity")
	f.StringVar(&c.spring, "spring", "", "`rate` of the spring that holds the follower down, such as '0.2 N/mm'")
	f.StringVar(&c.preload, "preload", "", "its `force` at zero lift")
	f.StringVar(&c.guide, "guide", "", "`length` of the follower's guide")
	f.StringVar(&c.overhang, "overhang", "", "with --guide: from its mouth to the contact at zero lift")
	f.StringVar(&c.guideRub, "guide-friction", "", "with --guide: coefficient of friction in it")
	f.BoolVar(&c.inches, "inches", false, "bare lengths are in inches")
	f.BoolVar(&c.clockwise, "cw", false, "the cam turns clockwise")
	f.StringVar(&c.rpm, "rpm", "", "`speed` of the cam's shaft")
	c.text = map[string]*string{}
	for _, p := range camPlainFlags {
		c.text[p.flag] = f.String(p.flag, "", p.usage)
	}
}

// given returns the first flag that describes a cam, "" when there is none.
func (c *camFlags) given() string {
	found := ""
	c.set.VisitAll(func(f *pflag.Flag) {
		if found == "" && f.Changed && c.mine(f.Name) {
			found = f.Name
		}
	})
	return found
}

// onlyRim reports whether a measured rim is all that the flags describe.
func (c *camFlags) onlyRim() bool {
	only := c.set.Changed("measured") != c.set.Changed("radii")
	c.set.VisitAll(func(f *pflag.Flag) {
		if f.Changed && c.mine(f.Name) && f.Name != "measured" && f.Name != "radii" {
			only = false
		}
	})
	return only
}

func (c *camFlags) mine(name string) bool {
	for _, own := range []string{"law", "lift", "over", "dwell", "return-over", "return-law", "wave", "through", "eccentric", "measured", "radii",
		"pivot", "side", "knife", "flat", "vertical", "spring", "preload", "guide", "overhang", "guide-friction", "inches", "cw", "rpm"} {
		if own == name {
			return true
		}
	}
	_, ok := c.text[name]
	return ok
}

// speed reads --rpm, rad/s; 0 when it is not given.
func (c *camFlags) speed() (float64, error) {
	if c.rpm == "" {
		return 0, nil
	}
	v, err := units.Parse(c.rpm, units.Speed, units.Defaults{})
	if err != nil {
		return 0, fmt.Errorf("--rpm: %w", err)
	}
	if v <= 0 {
		return 0, fmt.Errorf("--rpm %s: want a speed above 0", c.rpm)
	}
	return v, nil
}

// spec writes the cams that the flags describe as a spec: one, or one for each
// --law.
func (c *camFlags) spec() (spec.Source, error) {
	if err := c.consistent(); err != nil {
		return spec.Source{}, err
	}
	var b strings.Builder
	b.WriteString("understage: 1\nfigure: from the command line\n")
	if c.inches {
		b.WriteString("units: in\n")
	}
	b.WriteString("cams:\n")
	names := c.laws
	if len(names) == 0 {
		names = []string{"cam"}
	}
	seen := map[string]bool{}
	for _, name := range names {
		if seen[name] {
			return spec.Source{}, fmt.Errorf("--law %s: given twice", name)
		}
		seen[name] = true
		fmt.Fprintf(&b, "  %s:\n", quoteYAML(name))
		if err := c.writeCam(&b, name); err != nil {
			return spec.Source{}, err
		}
	}
	return spec.Source{Name: "command line", Text: []byte(b.String())}, nil
}

func (c *camFlags) consistent() error {
	var shapes []string
	for _, name := range camShapeFlags {
		if c.set.Changed(name) {
			shapes = append(shapes, "--"+name)
		}
	}
	switch {
	case len(shapes) == 0:
		return fmt.Errorf("cam: --%s describes a cam; say its shape too: --law, --wave, --through, --eccentric, --measured or --radii", c.given())
	case len(shapes) > 1:
		return fmt.Errorf("cam: %s each say the cam's shape; give one of them", strings.Join(shapes, " and "))
	}
	kinds := 0
	for _, name := range []string{"knife", "flat", "roller"} {
		if c.set.Changed(name) {
			kinds++
		}
	}
	if kinds > 1 {
		return fmt.Errorf("cam: give one of --knife, --flat and --roller")
	}
	for _, needs := range [][2]string{{"overhang", "guide"}, {"guide-friction", "guide"}, {"preload", "spring"}, {"side", "pivot"}} {
		if c.set.Changed(needs[0]) && !c.set.Changed(needs[1]) {
			return fmt.Errorf("cam: --%s belongs with --%s", needs[0], needs[1])
		}
	}
	return nil
}

func (c *camFlags) writeCam(b *strings.Builder, law string) error {
	if err := c.writeShape(b, law); err != nil {
		return err
	}
	kind, path := "knife", "straight"
	if c.flat {
		kind = "flat"
	}
	if c.set.Changed("roller") {
		kind = "roller"
	}
	follower := []string{"kind: " + kind}
	switch {
	case c.pivot != "":
		path = "swing"
		u, v, ok := strings.Cut(c.pivot, ",")
		if !ok {
			return fmt.Errorf("--pivot %q: want U,V, such as 40,10", c.pivot)
		}
		follower = append(follower, fmt.Sprintf("pivot: [%s, %s]", quoteYAML(u), quoteYAML(v)))
		if c.side != "" {
			follower = append(follower, "side: "+quoteYAML(c.side))
		}
	case c.set.Changed("track"):
		path = "axial"
	}
	follower = append(follower, "path: "+path)
	if path != "swing" {
		follower = append(follower, "heading: 90 deg")
	}
	if c.vertical {
		follower = append(follower, "vertical: yes")
	} else {
		follower = append(follower, "vertical: no")
	}
	for _, p := range camPlainFlags {
		if !c.set.Changed(p.flag) {
			continue
		}
		value := quoteYAML(*c.text[p.flag])
		if key, ok := strings.CutPrefix(p.path, "follower."); ok {
			follower = append(follower, key+": "+value)
		} else {
			fmt.Fprintf(b, "    %s: %s\n", p.path, value)
		}
	}
	fmt.Fprintf(b, "    follower: {%s}\n", strings.Join(follower, ", "))
	writeSection(b, "spring", []string{"rate", c.spring, "preload", c.preload})
	writeSection(b, "guide", []string{"length", c.guide, "overhang", c.overhang, "friction", c.guideRub})
	return nil
}

// writeSection writes the keys that have a value, as pairs of key and text.
func writeSection(b *strings.Builder, name string, pairs []string) {
	var items []string
	for i := 0; i < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			items = append(items, pairs[i]+": "+quoteYAML(pairs[i+1]))
		}
	}
	if len(items) > 0 {
		fmt.Fprintf(b, "    %s: {%s}\n", name, strings.Join(items, ", "))
	}
}

func (c *camFlags) writeShape(b *strings.Builder, law string) error {
	switch {
	case len(c.laws) > 0:
		return c.writeMotion(b, law)
	case len(c.waves) > 0:
		b.WriteString("    waves:\n")
		for _, w := range c.waves {
			per, rest, ok := strings.Cut(w, ":")
			if !ok {
				return fmt.Errorf("--wave %q: want PER_TURN:AMPLITUDE[@ANGLE], such as 2:1.6@70", w)
			}
			amplitude, at, has := strings.Cut(rest, "@")
			if !has {
				at = "0 deg"
			}
			fmt.Fprintf(b, "      - {per_turn: %s, amplitude: %s, at: %s}\n", quoteYAML(per), quoteYAML(amplitude), quoteYAML(at))
		}
	case c.through != "":
		b.WriteString("    through:\n")
		for _, p := range strings.Split(c.through, ",") {
			angle, lift, ok := strings.Cut(p, ":")
			if !ok {
				return fmt.Errorf("--through %q: want ANGLE:LIFT,..., such as 0:0,60:5,200:1", c.through)
			}
			fmt.Fprintf(b, "      - [%s, %s]\n", quoteYAML(angle), quoteYAML(lift))
		}
	case c.eccentric != "":
		radius, offset, ok := strings.Cut(c.eccentric, ",")
		if !ok {
			return fmt.Errorf("--eccentric %q: want RADIUS,OFFSET, such as 18,4", c.eccentric)
		}
		fmt.Fprintf(b, "    eccentric: {disc_radius: %s, offset: %s}\n", quoteYAML(radius), quoteYAML(offset))
	case c.measured != "":
		fmt.Fprintf(b, "    measured: {file: %s}\n", quoteYAML(c.measured))
	default:
		radii := strings.Split(c.radii, ",")
		for i := range radii {
			radii[i] = quoteYAML(radii[i])
		}
		fmt.Fprintf(b, "    measured: {every: %s deg, radii: [%s]}\n", strconv.FormatFloat(360/float64(len(radii)), 'g', 17, 64), strings.Join(radii, ", "))
	}
	return nil
}

// writeMotion writes rise, dwell and return, and the rest as a dwell.
func (c *camFlags) writeMotion(b *strings.Builder, law string) error {
	for _, need := range []string{"lift", "over"} {
		if !c.set.Changed(need) {
			return fmt.Errorf("cam: --law needs --%s", need)
		}
	}
	angle := func(flag, text string) (float64, error) {
		v, err := units.Parse(text, units.Angle, units.Defaults{})
		if err != nil {
			return 0, fmt.Errorf("--%s: %w", flag, err)
		}
		if v < 0 {
			return 0, fmt.Errorf("--%s %s: want an angle of 0 or more", flag, text)
		}
		return v, nil
	}
	back, dwell := c.back, c.dwell
	if back == "" {
		back = c.over
	}
	if dwell == "" {
		dwell = "0"
	}
	left := 2 * math.Pi
	for _, p := range [][2]string{{"over", c.over}, {"dwell", dwell}, {"return-over", back}} {
		v, err := angle(p[0], p[1])
		if err != nil {
			return err
		}
		left -= v
	}
	const slack = 1e-9 // rad: rounding of angles in degrees
	if left < -slack {
		return fmt.Errorf("cam: --over, --dwell and --return-over fill %.6g deg, more than a turn", 360-left*180/math.Pi)
	}
	returnLaw := c.returnLaw
	if returnLaw == "" {
		returnLaw = law
	}
	b.WriteString("    motion:\n")
	fmt.Fprintf(b, "      - {rise: %s, over: %s, law: %s}\n", quoteYAML(c.lift), quoteYAML(c.over), quoteYAML(law))
	if v, _ := angle("dwell", dwell); v > 0 {
		fmt.Fprintf(b, "      - {dwell: %s}\n", quoteYAML(dwell))
	}
	fmt.Fprintf(b, "      - {fall: %s, over: %s, law: %s}\n", quoteYAML(c.lift), quoteYAML(back), quoteYAML(returnLaw))
	if left > slack {
		fmt.Fprintf(b, "      - {dwell: %s rad}\n", strconv.FormatFloat(left, 'g', 17, 64))
	}
	return nil
}

// quoteYAML writes text as a double-quoted YAML scalar.
func quoteYAML(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.TrimSpace(text) {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, "\\x%02x", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
