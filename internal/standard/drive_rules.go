package standard

var driveRules = []Rule{}

var driveQuantities = []Quantity{}
