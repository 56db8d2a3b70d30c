;;; wend-mode.el --- Drawings in wend  -*- lexical-binding: t; -*-

;; Package-Requires: ((emacs "29.1"))

;;; Commentary:

;; Colours, indentation and comments, and messages and completion from
;; `wend language-server' through Eglot.  `wend-mode' needs nothing else;
;; `wend-ts-mode' reads the text with the tree-sitter grammar beside this folder.
;; The lists of words are those of the table of words:
;; go test ./lang/editors -update

;;; Code:

(require 'treesit)

(defconst wend-keywords
  ;; words: keyword
  '("and" "as" "at" "branch" "break" "by" "continue" "curve" "draw" "else" "false" "figure" "fn" "if" "in" "let" "loop" "not" "or" "path" "return" "true" "use" "while"))

(defconst wend-functions
  ;; words: statement function
  '("abs" "acos" "ahead" "along" "arc" "area" "asin" "atan2" "begin" "behind" "bezier" "ceil" "centered" "centroid" "choose" "clamp" "clip" "contains" "contours" "cos" "crop" "crossings" "cut" "data" "difference" "direction" "distance" "drawing" "erase" "exp" "face" "facing" "fill" "find" "fit" "fixed" "floor" "fold" "follow" "group" "halftone" "has" "hatch" "image" "inside" "intersection" "join" "keep" "log" "lower" "map" "max" "min" "mirror" "mix" "mod" "move" "names" "near" "nearest" "noise" "note" "number" "offset" "outline" "outside" "pad" "pause" "points" "polar" "polyline" "random" "reach" "resample" "reverse" "rotate" "round" "scale" "seed" "shade" "shift" "shuffle" "sign" "sin" "smooth" "sneak" "sort" "spline" "split" "spot" "sqrt" "sum" "tan" "text" "text_box" "tone" "tour" "trim" "turn" "union" "upper" "weave" "zip"))

(defconst wend-values
  ;; words: value
  '("heading" "here" "page" "pi"))

(defvar wend-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\r ">" table)
    (modify-syntax-entry ?_ "w" table)
    (modify-syntax-entry ?' "." table)
    (dolist (sign '(?+ ?- ?* ?/ ?^ ?= ?< ?> ?! ?, ?: ?.))
      (modify-syntax-entry sign "." table))
    table))

(defvar wend-font-lock-keywords
  `(("\\_<\\(?:fn\\|figure\\)[ \t]+\\(\\w+\\)" 1 'font-lock-function-name-face)
    ;; After a dot, and before a colon, any word is a name.
    ("\\(?:^\\|[^.]\\)\\.[ \t]*\\([[:alpha:]_]\\w*\\)" 1 'font-lock-property-use-face)
    ("\\(\\w+\\)[ \t]*:" 1 'font-lock-property-name-face)
    (,(regexp-opt wend-keywords 'words) . 'font-lock-keyword-face)
    (,(regexp-opt wend-functions 'words) . 'font-lock-builtin-face)
    (,(regexp-opt wend-values 'words) . 'font-lock-constant-face)
    ("\\_<[0-9][0-9_]*\\(?:\\.[0-9_]+\\)?\\(?:[eE][+-]?[0-9]+\\)?\\(?:mm\\|cm\\|in\\|deg\\|rad\\)?\\_>" . 'font-lock-number-face)))

(defun wend--goes-on-p (items)
  "Whether this line goes on with what the line above began.
With ITEMS they are those of a bracket, and a comma ends each."
  (save-excursion
    (back-to-indentation)
    (or (and (not items) (looking-at-p "\\.[[:alpha:]_]"))
        (let ((here (point)))
          (forward-comment (- (point-max)))
          (and (< (point) here)
               (not (bobp))
               (or (memq (char-before) (if items '(?= ?+ ?- ?* ?/ ?^ ?< ?>) '(?, ?= ?: ?+ ?- ?* ?/ ?^ ?< ?>)))
                   (looking-back "\\_<\\(?:and\\|or\\)" (line-beginning-position))))))))

(defun wend--block-p (opener)
  "Whether the bracket at OPENER is that of a block, not of a record or a list."
  (save-excursion
    (goto-char opener)
    (and (eq (char-after) ?\{)
         (progn (forward-char)
                (forward-comment (point-max))
                (not (looking-at-p "\\(?:\\w+\\|\"[^\"\n]*\"\\)[ \t]*:"))))))

(defun wend--last-p (opener)
  "Whether the line of the bracket at OPENER ends with it: its items have lines."
  (save-excursion
    (goto-char (1+ opener))
    (looking-at-p "[ \t]*\\(?:#.*\\)?$")))

(defun wend-indent-line ()
  "Indent a line as `wend format' does: two blanks within each bracket."
  (interactive)
  (let* ((start (save-excursion (back-to-indentation) (point)))
         (state (save-excursion (syntax-ppss (line-beginning-position))))
         (opener (nth 1 state))
         (base (if opener
                   (save-excursion (goto-char opener) (current-indentation))
                 0)))
    (unless (nth 3 state)
      (when (and opener (not (memq (char-after start) '(?\} ?\] ?\)))))
        (setq base (+ base 2)))
      (when (and (not (memq (char-after start) '(?\} ?\] ?\))))
                 (or (not opener) (wend--block-p opener) (wend--last-p opener))
                 (wend--goes-on-p (and opener (not (wend--block-p opener)))))
        (setq base (+ base 2)))
      (if (<= (current-column) (current-indentation))
          (indent-line-to base)
        (save-excursion (indent-line-to base))))))

;;;###autoload
(define-derived-mode wend-mode prog-mode "wend"
  "Drawings that are one continuous line."
  (setq-local comment-start "# "
              comment-start-skip "#+[ \t]*"
              comment-end ""
              indent-tabs-mode nil
              tab-width 2
              electric-indent-chars (append "}])" electric-indent-chars)
              indent-line-function #'wend-indent-line
              font-lock-defaults '(wend-font-lock-keywords)
              imenu-generic-expression '(("Figures" "^figure[ \t]+\\(\\w+\\)" 1)
                                         ("Functions" "^fn[ \t]+\\(\\w+\\)" 1))))

(defvar wend-ts-font-lock-rules
  `(:language wend :feature comment ((comment) @font-lock-comment-face)
    :language wend :feature keyword
    (["let" "draw" "at" "branch" "curve" "path" "in" "by" "loop" "while" "if" "else" "fn" "figure" "return" "use" "as" "and" "or" "not"
      (break) (continue)]
     @font-lock-keyword-face)
    :language wend :feature constant ([(true) (false)] @font-lock-constant-face)
    :language wend :feature definition
    ((function_definition name: (name) @font-lock-function-name-face)
     (figure_definition name: (name) @font-lock-function-name-face)
     (let name: (name) @font-lock-variable-name-face)
     (parameter name: (name) @font-lock-variable-name-face)
     (loop count: (name) @font-lock-variable-name-face)
     (loop variable: (name) @font-lock-variable-name-face)
     (curve variable: (name) @font-lock-variable-name-face))
    :language wend :feature builtin
    (((name) @font-lock-builtin-face (:match ,(concat "\\`" (regexp-opt wend-functions t) "\\'") @font-lock-builtin-face))
     ((name) @font-lock-constant-face (:match ,(concat "\\`" (regexp-opt wend-values t) "\\'") @font-lock-constant-face)))
    :language wend :feature property ((member) @font-lock-property-use-face (named_argument name: (name) @font-lock-property-name-face))
    :language wend :feature number ((number) @font-lock-number-face)
    :language wend :feature escape :override t ((escape) @font-lock-escape-face)
    :language wend :feature string :override keep ((text) @font-lock-string-face)))

;;;###autoload
(define-derived-mode wend-ts-mode wend-mode "wend"
  "Drawings that are one continuous line, read with tree-sitter."
  (when (treesit-ready-p 'wend)
    (treesit-parser-create 'wend)
    (setq-local treesit-font-lock-settings (apply #'treesit-font-lock-rules wend-ts-font-lock-rules)
                treesit-font-lock-feature-list '((comment definition) (keyword string) (builtin constant number property escape))
                treesit-defun-type-regexp "\\`\\(?:figure\\|function\\)_definition\\'")
    (treesit-major-mode-setup)))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.wend\\'" . wend-mode))

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '((wend-mode wend-ts-mode) . ("wend" "language-server"))))

(provide 'wend-mode)
;;; wend-mode.el ends here
