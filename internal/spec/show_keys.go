package spec

import (
	"sync"

	"understage/internal/units"
)

// showKeys are the keys of a show: several figures on one stage.
var showKeys = []Key{
	{Path: "understage", Kind: Whole, Required: true, Example: "1", Meaning: "Version of this format."},
	{Path: "show", Kind: Text, Required: true, Example: "Quayside", Meaning: "Name of the show; a spec that has it is a show."},
	{Path: "units", Kind: Word, Words: []string{"mm", "in"}, Default: "mm", Example: "in", Meaning: "Unit of every length written without one here; each figure keeps its own."},
	{Path: "tempo", Kind: Quantity, Dimension: units.Rate, Bound: Positive, Example: "52 per min", Meaning: "Tempo that the beats of all figures are compared with."},
	{Path: "duration", Kind: Quantity, Dimension: units.Time, Bound: Positive, Default: "1800 s", Example: "20 min", Meaning: "How long the figures run together; their currents are followed for that time."},
	{Path: "supply", Kind: Mapping, Required: true, Example: "{voltage: 4.8 V, limit: 2 A}", Meaning: "The rail that all motors hang on; it stands in for each figure's own supply."},
	{Path: "supply.voltage", Kind: Quantity, Dimension: units.Voltage, Bound: Positive, Required: true, Example: "4.8 V", Meaning: "Voltage without load."},
	{Path: "supply.resistance", Kind: Quantity, Dimension: units.Resistance, Bound: NotNegative, Default: "0 ohm", Example: "0.3 ohm", Meaning: "Resistance of supply or battery, which all currents pass together."},
	{Path: "supply.limit", Kind: Quantity, Dimension: units.Current, Bound: Positive, Example: "2 A", Meaning: "Current that it gives at most."},
	{Path: "supply.lead", Kind: Quantity, Dimension: units.Length, Bound: Positive, Example: "3 m", Meaning: "Length of the lead from supply to figures, one way."},
	{Path: "battery", Kind: Mapping, Example: "{capacity: 2400 mA·h}", Meaning: "The battery, for its run time."},
	{Path: "battery.capacity", Kind: Quantity, Dimension: units.Capacity, Bound: Positive, Required: true, Example: "2400 mA·h", Meaning: "Its capacity."},
	{Path: "battery.usable", Kind: Quantity, Dimension: units.Number, Bound: Positive, Default: "0.8", Example: "0.7", Meaning: "Share of the capacity that may be drawn."},
	{Path: "figures", Kind: Named, Required: true, Example: "{watchman: {file: watchman.yaml}}", Meaning: "The figures, by name."},
	{Path: "figures.NAME", Kind: Mapping, Example: "{file: watchman.yaml, at: [-300, 0], turn: 15 deg}", Meaning: "One figure."},
	{Path: "figures.NAME.file", Kind: Text, Required: true, Example: "watchman.yaml", Meaning: "Its spec, relative to this file."},
	{Path: "figures.NAME.at", Kind: Pair, Dimension: units.Length, Default: "[0, 0]", Example: "[-300, 0]", Meaning: "Where its origin stands on the common stage, [x, y]."},
	{Path: "figures.NAME.turn", Kind: Quantity, Dimension: units.Angle, Default: "0 deg", Example: "15 deg", Meaning: "How far it is turned round, counter-clockwise seen from above."},
	{Path: "figures.NAME.start", Kind: Quantity, Dimension: units.Time, Bound: NotNegative, Default: "0 s", Example: "2 s", Meaning: "When it starts, after switching on."},
	{Path: "limits", Kind: Named, Example: "{neighbour_gap: 30 mm}", Meaning: "Own limits for the show's rules; each figure keeps its own."},
	{Path: "limits.NAME", Kind: Quantity, Dimension: units.Number, Example: "30 mm", Meaning: "Limit of that rule, in the rule's dimension."},
}

var showTable = sync.OnceValue(func() *schema { return compile(showKeys) })

// ShowKeys returns every key of a show, in the order of the reference.
func ShowKeys() []Key { return showKeys }
