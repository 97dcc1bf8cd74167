;;; fourfold-lsp-mode.el --- Fourfold with lsp-mode -*- lexical-binding: t -*-
;; Load this from your init file; `fourfold' must be on your PATH.
;; Emacs has no mode for ABC. lsp-mode counts columns in characters, and older versions
;; do not say so: hence --columns.
(define-derived-mode abc-mode prog-mode "ABC"
  (setq-local comment-start "% "))
(add-to-list 'auto-mode-alist '("\\.abc\\'" . abc-mode))

(require 'lsp-mode)
(add-to-list 'lsp-language-id-configuration '(abc-mode . "abc"))
(lsp-register-client
 (make-lsp-client :new-connection (lsp-stdio-connection '("fourfold" "serve" "--columns" "utf-32"))
                  :major-modes '(abc-mode) :server-id 'fourfold))
(add-hook 'abc-mode-hook #'lsp)

(define-key abc-mode-map (kbd "C-c C-h") #'lsp-describe-thing-at-point)
(define-key abc-mode-map (kbd "C-c C-f") #'lsp-execute-code-action)
;;; fourfold-lsp-mode.el ends here
