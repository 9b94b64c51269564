package cond

// broken is one condition for each way of getting one wrong.
var broken = []string{

	`best.weight_shft == "early" and stuck.hing == "x"`, `best.hinge == "foo"`, `best.hinge == "late"`, `weight_shift == "early"`,
	`best.hinge == holds`, `best == "x"`, `athlete.age > "15"`, `athlete.age > 15 years`, `best.back_knee_bend > 35°`, `best.back_knee_bend > 35deg`,
	`athlete.age = 15`, `screen.pain == "pain" or "soreness"`, `screen.pain == “pain”`, `screen.numbness AND screen.pop`, `screen.numbness and`,
	`load.growth > 20%`, `load.growth > 1,5`, `load.growth between 1 and 2`, `best.hinge is "none"`, `best.hinge is not "none"`, `best.hinge <> "none"`,
	`athlete.age => 3`, `screen.pop & screen.numbness`, `best.hinge == stuck.weight_shift`, `best.hinge == 3`, `athlete.age > 100`, `load.growth == 1.3`,
	`not best.hinge == "none"`, `best.hinge < "none"`, `best.hinge`, `athlete.age`, `screen.pop == "yes"`, `screen.pop == yes`, `screen.pop != yes`, `len(best.hinge) > 3`,
	`best.hinge == "none`, `(screen.pop`, `screen.pop)`, `screen.pop ? true : false`, `let x = 3; x > 2`, `screen.pop | abs`, `$env`, `screen.pop == nil`,
	`screen.pop ?? true`, `best["hinge"] == "none"`, `screen.pop screen.numbness`, `and screen.pop`, `"a" == "b"`, `best.hinge in "none"`, `best.hinge in []`, `between(1,2)`,
	`1 < 2`, `best.hinge == ["none"]`, `best.hinge + 3 > 2`, `(screen.pop == true) == (athlete.age > 3)`, `best.weight-shift == "early"`, ``, `athlete.age == 20 # x`, `any(x, # > 3)`,
	`best.hinge == high none`, `0x1F < athlete.age`, `1e5 > athlete.age`, `athlete.age > 3 == screen.pop`, `between(athlete.age, 18, 12)`, `best.hinge in ["none" "holds"]`,
	`athlete.age in 9..12.5`, `load.growth in 1..2`, `best.hinge matches "n.*"`, `{a: 1}`, `athlete . age > 3`, `filter(1..3, {# > 2})`, `screen.pop, screen.numbness`, `athlete.age >= ≥ 3`, `best.hinge == "None"`,
}
