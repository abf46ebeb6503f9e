package solve

type BeltResult struct{}
