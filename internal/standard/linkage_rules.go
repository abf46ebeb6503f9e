package standard

var linkageRules = []Rule{}

var linkageQuantities = []Quantity{}
