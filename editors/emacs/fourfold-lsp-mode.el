;;; fourfold-lsp-mode.el --- Fourfold with lsp-mode -*- lexical-binding: t -*-
;; Emacs has no mode for ABC.
(define-derived-mode abc-mode prog-mode "ABC"
  (setq-local comment-start "% "))
(add-to-list 'auto-mode-alist '("\\.abc\\'" . abc-mode))
(require 'lsp-mode)
(add-to-list 'lsp-language-id-configuration '(abc-mode . "abc"))
(lsp-register-client
 (make-lsp-client :new-connection (lsp-stdio-connection '("fourfold" "serve"))
                  :major-modes '(abc-mode) :server-id 'fourfold))
(add-hook 'abc-mode-hook #'lsp)
