package standard

import (
	"math"

	"understage/internal/units"
)

var driveRules = []Rule{
	{
		Name: "near_repeat", Asks: "how long until the figure all but repeats", Judge: AtMost,
		Dimension: units.Angle, Limit: 10 * math.Pi / 180,
		Meaning: "The figure is taken to be near its start when every shaft that moves it is within this angle of home.",
		Source:  "common practice",
	},
}

var driveQuantities = []Quantity{}
