package mech

import "gonum.org/v1/gonum/spatial/r2"

// Cam is a plate or face cam and the follower that rides on it.
type Cam struct {
	Name      string
	Shaft     int
	Phase     float64 // added to the shaft's unsigned turn to give φ
	Base      float64 // base-circle radius; 0 for Eccentric and Measured, whose rim says it
	Thickness float64
	Level     Given
	Shape     Shape
	Follower  *Follower // nil: the torso shaft itself rides on the rim
	Load      CamLoad
}

// ShapeKind is what a cam's form is given by.
type ShapeKind int

const (
	// ShapeWaves, ShapeMotion and ShapeThrough state the follower's motion and
	// the rim follows.
	ShapeWaves ShapeKind = iota
	ShapeMotion
	ShapeThrough
	// ShapeEccentric and ShapeMeasured state the rim and the motion follows.
	ShapeEccentric
	ShapeMeasured
)

var shapeKinds = [...]string{"waves", "motion", "through", "eccentric", "measured"}

// String returns the spec's key for the kind.
func (k ShapeKind) String() string { return shapeKinds[k] }

// StatesRim reports whether the shape gives the rim rather than the motion.
func (k ShapeKind) StatesRim() bool { return k == ShapeEccentric || k == ShapeMeasured }

// Shape is a cam's form. Only the field that Kind names is used. Lifts are mm,
// or rad for a swinging follower.
type Shape struct {
	Kind      ShapeKind
	Waves     []Wave
	Segments  []Segment
	Points    []Point // Through: φ in [0, 2π) increasing, with the lift there
	Eccentric Eccentric
	Rim       []Point // Measured: φ in [0, 2π) increasing, with the rim's radius there
}

// Wave is one harmonic: Amplitude·cos(PerTurn·(φ − At)).
type Wave struct {
	PerTurn   int
	Amplitude float64
	At        float64
}

// Segment is one stretch of a motion: Over in rad, Rise positive for a rise,
// negative for a fall, 0 for a dwell. Over 0 is a sudden drop or jump.
type Segment struct {
	Rise float64
	Over float64
	Law  Law
}

// Law is the motion law of a rise or fall.
type Law int

const (
	Uniform Law = iota
	Parabolic
	Harmonic
	Cycloidal
	ModifiedTrapezoid
	ModifiedSine
	Polynomial345
	Polynomial4567
)

// Laws lists the laws in the order of their values.
var Laws = [...]Law{Uniform, Parabolic, Harmonic, Cycloidal, ModifiedTrapezoid, ModifiedSine, Polynomial345, Polynomial4567}

var lawNames = [...]string{"uniform", "parabolic", "harmonic", "cycloidal", "modified-trapezoid", "modified-sine", "3-4-5", "4-5-6-7"}

// String returns the spec's word for the law.
func (l Law) String() string { return lawNames[l] }

// Point is a value at an angle.
type Point struct {
	Angle, Value float64
}

// Eccentric is a round disc turning off its centre.
type Eccentric struct {
	DiscRadius, Offset float64
}

// FollowerKind is the follower's end.
type FollowerKind int

const (
	Knife FollowerKind = iota
	Roller
	Flat
)

var followerKinds = [...]string{"knife", "roller", "flat"}

// String returns the spec's word for the kind.
func (k FollowerKind) String() string { return followerKinds[k] }

// FollowerPath is how the follower is led.
type FollowerPath int

const (
	Straight FollowerPath = iota
	Swing
	Axial
)

var followerPaths = [...]string{"straight", "swing", "axial"}

// String returns the spec's word for the path.
func (p FollowerPath) String() string { return followerPaths[p] }

// Follower rides on a cam.
type Follower struct {
	Kind    FollowerKind
	Path    FollowerPath
	Radius  float64 // of the roller; 0 for knife and flat
	Heading float64 // Straight: direction of positive lift; Axial: where it stands. From +u of the view
	Offset  float64 // Straight: positive to the right of the heading
	// Swing only.
	Pivot r2.Vec  // from the cam's axis
	Arm   float64 // pivot to roller centre or knife edge
	Left  bool    // the roller lies to the left, seen from the cam's axis to the pivot
	Face  float64 // distance from pivot to a flat face, positive away from the cam
	// Axial only.
	TrackRadius float64
}

// Swings reports whether lift is an angle.
func (f *Follower) Swings() bool { return f != nil && f.Path == Swing }

// CamLoad is what presses on a cam, as far as the spec says.
type CamLoad struct {
	Mass             Given // kg, moving with the follower
	SpringRate       Given // N/mm
	SpringPreload    Given // N, with the follower on the base circle
	Force            Given // N, a steady load against the lift
	GuideLength      Given
	GuideOverhang    Given
	Material         string // of the cam; "" not given
	FollowerMaterial string
	Friction         Given // at the contact
	GuideFriction    Given
	WearRate         Given // mm³/(N·m) of the cam, the maker's own figure
	FollowerWearRate Given
	WearDepth        Given // at which the maker calls a part worn out
	Modulus          Given // MPa, Young's modulus of the cam, the maker's own figure
	FollowerModulus  Given
	FaceWidth        Given // of a flat follower, across the cam
	// Vertical says the follower lifts its mass against gravity.
	Vertical bool
}
