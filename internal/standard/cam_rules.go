package standard

var camRules = []Rule{}

var camQuantities = []Quantity{}
