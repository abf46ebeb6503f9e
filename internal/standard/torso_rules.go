package standard

var torsoRules = []Rule{}

var torsoQuantities = []Quantity{}
