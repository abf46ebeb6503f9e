package standard

var motorRules = []Rule{}

var motorQuantities = []Quantity{}
