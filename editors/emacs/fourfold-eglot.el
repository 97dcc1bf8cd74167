;;; fourfold-eglot.el --- Fourfold with eglot -*- lexical-binding: t -*-
;; Load this from your init file; `fourfold' must be on your PATH.
;; Emacs has no mode for ABC; its name without -mode is the language id.
(define-derived-mode abc-mode prog-mode "ABC"
  (setq-local comment-start "% "))
(add-to-list 'auto-mode-alist '("\\.abc\\'" . abc-mode))

(require 'eglot)
(add-to-list 'eglot-server-programs '(abc-mode . ("fourfold" "serve")))
(add-hook 'abc-mode-hook #'eglot-ensure)

(define-key abc-mode-map (kbd "C-c C-h") #'eldoc-doc-buffer)
(define-key abc-mode-map (kbd "C-c C-f") #'eglot-code-actions)
;;; fourfold-eglot.el ends here
