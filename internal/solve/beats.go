package solve

type BeatsResult struct{}

type LinkageClearance struct{}
