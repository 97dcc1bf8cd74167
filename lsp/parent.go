package lsp

import (
	"time"

	"go.uber.org/zap"
)

// parentCheck is how often the server looks whether the editor still runs. An
// editor that dies usually closes the pipe, which is noticed at once; this is
// for those whose pipe another process holds open.
const parentCheck = 2 * time.Second

// watchParent ends the session when the process that started it is gone.
func (s *session) watchParent(pid int) {
	tick := time.NewTicker(parentCheck)
	defer tick.Stop()
	for alive(pid) {
		select {
		case <-s.ctx.Done():
			return
		case <-tick.C:
		}
	}
	s.log.Info("the client's process is gone", zap.Int("pid", pid))
	s.finish(s.exitCode())
}
