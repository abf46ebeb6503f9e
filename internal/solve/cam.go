package solve

type CamResult struct{}
