package solve

type TorsoResult struct{}
