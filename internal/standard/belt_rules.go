package standard

var beltRules = []Rule{}

var beltQuantities = []Quantity{}
