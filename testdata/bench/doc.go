// Package bench holds the conditions of rules against other rule libraries:
// whether all give the same outcomes, and what each evaluation costs. It is a
// module of its own, so that the tool depends on none of them.
//
// Its invariant: the libraries are compared on their best side. Facts have flat
// names in a typed map, limits are written in as numbers, programs are compiled
// once, and a library that has memory to use again is given it. They are asked
// only about cases in which everything is known, since none of them has a third
// outcome.
package bench
