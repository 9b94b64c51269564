package triage

import "flag"

var study = flag.Bool("study", false, "run the long versions of the studies")
