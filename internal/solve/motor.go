package solve

type MotorResult struct{}
