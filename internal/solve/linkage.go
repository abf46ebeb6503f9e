package solve

type LinkageResult struct{}
type BeatsResult struct{}
