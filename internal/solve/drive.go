package solve

type Drive struct{}
type Repeat struct{}
type GearResult struct{}
