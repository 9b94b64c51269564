package ask

import (
	"strings"
	"testing"
	"time"

	"rungwise/engine/cause"
)

// On the worked cases that have a first factor, with the ladder known, going by
// what tells most settles it with at least a third fewer questions than going by
// the order of the throw (house default). Settled is to lead for good and to be
// at least likely first. SM-11 is settled by its ladder alone, in both orders.
func TestTellingSettlesSooner(t *testing.T) {
	t.Parallel()
	names := []string{"sm-02.yaml", "sm-04.yaml"}
	if *study {
		names = append(names, "sm-11.yaml", "sm-21.yaml")
	}
	telling, video := 0, 0
	for _, name := range names {
		a, b := settling(t, name, Telling), settling(t, name, Video)
		t.Logf("%s: %s leads for good after %d questions, is likely first after %d, and %d are asked; in the order of the throw %d, %d and %d",
			name, a.factor, a.leads, a.settled, a.asked, b.leads, b.settled, b.asked)
		if a.factor != b.factor {
			t.Errorf("%s: the orders end at %s and %s", name, a.factor, b.factor)
		}
		telling, video = telling+a.settled, video+b.settled
	}
	t.Logf("together %d and %d: %.0f %% fewer", telling, video, 100*(1-float64(telling)/float64(video)))
	if 3*telling > 2*video {
		t.Errorf("%d questions against %d are not a third fewer", telling, video)
	}
}

// settledAt is how many questions on video a case took.
type settledAt struct {
	factor                string
	leads, settled, asked int // until the first factor leads for good, is likely first besides, in all
}

// settling goes through the video of a case: to where the checklist stops in
// the telling order, to the end in the order of the throw. It looks at the
// ranking after each pair of throws.
func settling(t *testing.T, name, order string) settledAt {
	t.Helper()
	c := worked(t, name)
	text, _, _ := strings.Cut(string(c.File.Bytes), "\nseen:")
	f := fresh(t, text+"\n", order)
	f.goOn = order == Video
	var s settledAt
	likely := false
	answerAll(t, f, c, func(q Question, _ string) {
		if q.Section == OnVideo && q.ID != "video.throw" {
			s.asked++
		}
		if q.Section == OnVideo && !q.Second && q.ID != "video.throw" {
			return
		}
		now := ""
		r := f.ranking()
		if len(r.Factors) > 0 {
			now = r.Factors[0].Factor.ID
		}
		if now != s.factor {
			s.factor, s.leads, likely = now, s.asked, false
		}
		is := r.Standing == cause.LikelyFirst || r.Standing == cause.ClearFirst
		if is && !likely {
			s.settled = s.asked
		}
		likely = is
	})
	if !likely {
		t.Errorf("%s: %s is never likely first", name, s.factor)
	}
	return s
}

// A question and what stands beside it come within 100 ms of an answer on a
// machine that does nothing else; a test shares its machine, so far more is
// allowed here.
func TestTheNextQuestionIsQuick(t *testing.T) {
	c := worked(t, "sm-04.yaml")
	f := fresh(t, thrown(t), Telling)
	slowest, sum, n := time.Duration(0), time.Duration(0), 0
	start := time.Now()
	answerAll(t, f, c, func(Question, string) {
		f.Panel()
		f.Progress()
		took := time.Since(start)
		slowest, sum, n = max(slowest, took), sum+took, n+1
		start = time.Now()
	})
	t.Logf("%d answers, saved, ranked and followed: mean %v, slowest %v", n, sum/time.Duration(n), slowest)
	if sum/time.Duration(n) > time.Second {
		t.Errorf("an answer takes %v", sum/time.Duration(n))
	}
}
