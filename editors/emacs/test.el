;;; test.el --- drives a real Emacs through what a composer does -*- lexical-binding: t -*-
;; It is run by test.sh; editors/common.sh tells the variables. Every wait is for a
;; state; the limit only ends a run in which it never comes.
(defconst test-limit 30)
(defconst test-eglot (equal (getenv "FOURFOLD_CLIENT") "eglot"))

(defun test-report (line)
  (write-region (concat line "\n") nil (getenv "FOURFOLD_REPORT") t 'quiet))

(defun test-end (code)
  (let ((kill-emacs-query-functions nil) (confirm-kill-processes nil))
    (kill-emacs code)))

(defun test-check (holds what)
  (test-report (concat (if holds "ok: " "FAILED: ") what))
  (unless holds (test-end 1)))

(defun test-await (condition what)
  (let ((end (+ (float-time) test-limit)) holds)
    (while (not (or (setq holds (funcall condition)) (> (float-time) end)))
      (sit-for 0.02))
    (test-check holds what)))

(defun test-hold (name)
  "Let the screen be photographed when pictures are wanted."
  (let ((file (getenv "FOURFOLD_HOLD")))
    (when file
      (redisplay t)
      (write-region (concat (getenv "FOURFOLD_CLIENT") "-" name "\n") nil file nil 'quiet)
      (while (file-exists-p file) (sleep-for 0.05)))))

(defun test-turns ()
  "The findings of one rule as (START . END) in the buffer, in order."
  (let (found)
    (if test-eglot
        (dolist (d (flymake-diagnostics))
          (when (string-match-p "turns back before" (flymake-diagnostic-text d))
            (push (cons (flymake-diagnostic-beg d) (flymake-diagnostic-end d)) found)))
      (maphash
       (lambda (_ list)
         (dolist (d list)
           (when (equal (lsp:diagnostic-code? d) "hands/turn")
             (push (lsp--range-to-region (lsp:diagnostic-range d)) found))))
       (lsp-diagnostics)))
    (sort found (lambda (a b) (< (car a) (car b))))))

(defun test-shown (place)
  "Whether a finding is drawn at PLACE."
  (run-hooks 'post-command-hook) ; flymake draws after a command
  (redisplay t)
  (seq-some (lambda (o) (or (overlay-get o 'flymake-diagnostic) (overlay-get o 'flymake-overlay)
                            (overlay-get o 'lsp-diagnostic) (overlay-get o 'flycheck-overlay)))
            (overlays-at place)))

(defun test-marked (turn)
  (buffer-substring-no-properties (car turn) (cdr turn)))

(defun test-place (line column)
  "The buffer position of LINE and COLUMN, both from 1."
  (save-excursion
    (goto-char (point-min))
    (forward-line (1- line))
    (+ (point) (1- column))))

(defun test-letters (text)
  (sort (string-to-list text) #'<))

(defun test-line (line)
  (save-excursion
    (goto-char (test-place line 1))
    (buffer-substring-no-properties (point) (line-end-position))))

(defvar test-offered nil "The titles that were offered last.")

(defun test-choose (_prompt choices &rest _)
  "Stand in for `completing-read': take the first fix of the finding."
  (setq test-offered (mapcar (lambda (c) (if (consp c) (car c) c))
                             (if (functionp choices) (all-completions "" choices) choices)))
  (or (car (member (getenv "FOURFOLD_FIX") test-offered)) (car test-offered)))

(defun test-card ()
  "Ask for the card; a little later a buffer shows it."
  (if test-eglot (eldoc t) (lsp-describe-thing-at-point))
  (let ((end (+ (float-time) 3)))
    (while (not (or (string-match-p "Order" (test-card-text)) (> (float-time) end)))
      (sit-for 0.05))))

(defun test-card-text ()
  (let ((buffer (seq-find (lambda (b) (string-match-p (if test-eglot "\\*eldoc" "\\*lsp-help\\*") (buffer-name b)))
                          (buffer-list))))
    (if buffer (with-current-buffer buffer (buffer-string)) "")))

(defun test-run ()
  (setq last-nonmenu-event ?x use-dialog-box nil
        eldoc-idle-delay 0.1 eglot-autoreconnect nil
        lsp-auto-guess-root t lsp-keep-workspace-alive nil lsp-enable-snippet nil lsp-log-io nil
        lsp-headerline-breadcrumb-enable nil lsp-warn-no-matched-clients nil
        lsp-restart 'ignore inhibit-startup-screen t)
  (unless test-eglot
    (require 'lsp-mode)
    (lsp-workspace-folders-add (file-name-directory (getenv "FOURFOLD_DEMO"))))
  (let ((line (string-to-number (getenv "FOURFOLD_LINE")))
        (column (string-to-number (getenv "FOURFOLD_COLUMN")))
        (figure (getenv "FOURFOLD_MARKED"))
        (characters "[r:é ♯ 🎵]")
        (opened (float-time))
        before start count)
    (find-file (getenv "FOURFOLD_DEMO"))
    (run-hooks 'post-command-hook) ; clients start after a command
    (delete-other-windows)
    (test-check (eq major-mode 'abc-mode) "the score is an abc file")
    (test-await (lambda () (test-turns)) "a figure that turns back is found")
    (test-await (lambda () (test-shown (test-place line column))) "it is marked on the screen")
    (test-report (format "first finding: %d ms" (* 1000 (- (float-time) opened))))
    (test-check (= (car (car (test-turns))) (test-place line column)) "the finding is in the right place")
    (test-check (equal (test-marked (car (test-turns))) figure) (concat "it covers " figure))

    ;; The same with characters of two, three and four bytes before the notes.
    (setq before (buffer-string))
    (save-excursion
      (goto-char (test-place line 1))
      (insert characters))
    (test-await (lambda ()
                  (let ((turn (car (test-turns))))
                    (and turn (= (car turn) (test-place line (+ column (length characters))))
                         (equal (test-marked turn) figure))))
                "the mark stands right after é ♯ 🎵")

    ;; The card.
    (goto-char (car (car (test-turns))))
    (sit-for 0.5)
    (test-await (lambda () (test-card) (string-match-p "Order" (test-card-text))) "hover shows the card")
    (dolist (word '("hand" "bar" "finger" "note" "Next" "♩" "holds up to"))
      (test-check (string-match-p word (test-card-text)) (concat "the card says " word)))
    (when (getenv "FOURFOLD_HOLD")
      (display-buffer (seq-find (lambda (b) (string-match-p "\\*eldoc\\|\\*lsp-help" (buffer-name b))) (buffer-list)))
      (goto-char (car (car (test-turns)))))
    (test-hold "card")
    (delete-other-windows)

    ;; The fix, after the emoji.
    (undo-boundary)
    (setq start (buffer-string) count (length (test-turns)))
    (advice-add 'completing-read :override #'test-choose)
    (if test-eglot
        (eglot-code-actions (point) nil nil t)
      (lsp-execute-code-action (lsp--select-action (lsp-code-actions-at-point))))
    (test-check (member (getenv "FOURFOLD_FIX") test-offered) "the fix is offered")
    (test-await (lambda () (not (equal (buffer-string) start))) "it changes the buffer")
    (test-await (lambda () (< (length (test-turns)) count)) "the finding goes")
    (test-check (string-prefix-p characters (test-line line)) "the emoji stands where it stood")
    (let ((old (with-temp-buffer (insert start) (test-line line))))
      (test-check (equal (test-letters old) (test-letters (test-line line)))
                  "the line has the same notes in another order"))
    (undo-boundary)
    (primitive-undo 1 (if (car buffer-undo-list) buffer-undo-list (cdr buffer-undo-list)))
    (test-check (equal (buffer-string) start) "undo takes the change back")
    (test-await (lambda () (and (= (length (test-turns)) count) (equal (test-marked (car (test-turns))) figure)))
                "the finding comes back")
    (set-buffer-modified-p nil)
    (if test-eglot
        (eglot-shutdown (eglot-current-server))
      (kill-buffer))
    (test-report "end")
    (test-end 0)))

(run-at-time 0.2 nil (lambda ()
                       (condition-case problem (test-run)
                         (error (test-report (format "FAILED: %S" problem)) (test-end 1)))))
;;; test.el ends here
