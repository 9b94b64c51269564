package engine

import (
	"path/filepath"

	"rungwise/engine/casefile"
	"rungwise/engine/report"
	"rungwise/engine/week"
)

// Review counts what became of the closed problems in a folder's logs, by the
// factor that was worked on and by the drills that were thrown for it.
func (e *Engine) Review(dir string) (*report.Review, error) {
	paths, err := casefile.Logs(dir)
	if err != nil {
		return nil, err
	}
	var logs []*casefile.Log
	unread := []report.Unreadable{}
	for _, path := range paths {
		name, err := filepath.Rel(dir, path)
		if err != nil {
			name = path
		}
		f, err := casefile.Read(path)
		if err != nil {
			unread = append(unread, report.Unreadable{File: name, Says: reason(err)})
			continue
		}
		log, ds := casefile.ParseLog(f, e.vocabulary())
		if len(log.Bad) > 0 {
			unread = append(unread, report.Unreadable{File: name, Says: ds.Sorted()[0].Headline})
		}
		logs = append(logs, log)
	}
	r := week.Review(e.base, e.today, logs)
	r.Unread = unread
	return r, nil
}
