// Package words holds what people type who do not know wend's words yet: the
// everyday words for drawing, for repeating, for showing something, in English,
// German, French, Spanish, Polish and Dutch, and the words by which
// general-purpose languages print, count, append and name nothing; each with
// what wend writes for it.
//
// Words are grouped by meaning: to go on, to walk back, to turn, to lift, a ring,
// a box, again and again, to begin anew, to show. It is data alone: who reports an
// unknown word looks it up here.
package words

// Meaning is what several everyday words stand for.
type Meaning struct {
	// Write is what wend writes: $1, $2, … are the arguments, in the person's own
	// numbers, and -$1 is the first one the other way round. Words that take a
	// block end in " {". It is empty where nothing can be written for it.
	Write string
	// Usual are the arguments that are taken where there are none.
	Usual []string
	// Why is a sentence for the message, where the word has no plain equal.
	Why string
	// Thing is what the words name, where that is something to draw.
	Thing string
	// None: wend has nothing like it; what is written is another way.
	None bool
	// Certain: with all its arguments given, this is what was meant.
	Certain bool
	// Lifts: the words take the stylus off, so that the next move leaves no line.
	Lifts bool
	// Lowers: the words put it down again.
	Lowers bool

	everyday string
}

// meanings are all meanings of words that begin a statement. Words and phrases
// are separated by commas, languages by semicolons.
var meanings = []Meaning{
	{Write: "ahead $1", Usual: []string{"20"}, Certain: true, everyday: "forward, forwards, go, go forward, go forwards, go ahead, go straight, walk, walk forward, straight, straight ahead, step, move forward, move ahead;" +
		"vorwärts, vor, geh, gehe, gehe vor, geh vor, geh vorwärts, geradeaus, laufe, lauf, schritt; avance, avancer, avancez, en avant, tout droit, marche; avanza, avanzar, adelante, anda, camina, recto; naprzód, do przodu, prosto, idź, idź naprzód; vooruit, rechtdoor, loop vooruit, ga vooruit, stap"},
	{Write: "ahead $1", Usual: []string{"20"}, everyday: "draw a line, move, draw line, length, line; linie, strich, zeichne linie; ligne, trait, trace une ligne; línea, linea, mueve, mover; linia, linię, kreska; lijn, streep"},
	{Write: "ahead -$1", Usual: []string{"20"}, Certain: true, everyday: "back, backward, backwards, go back, go backward, go backwards, walk back, move back, step back, reverse;" +
		"zurück, rückwärts, geh zurück, gehe zurück; recule, reculer, reculez, en arrière, arrière; atrás, atras, retrocede, retroceder, hacia atrás; cofnij, wstecz, do tyłu, cofnij się; terug, achteruit, ga terug"},
	{Write: "turn $1", Usual: []string{"90"}, Certain: true, everyday: "left, turn left, go left, rotate left, turn to the left, spin left;" +
		"links, nach links, links drehen; gauche, à gauche, tourne à gauche; izquierda, a la izquierda; lewo, w lewo, skręć w lewo, obróć w lewo; linksaf, naar links, ga linksaf, sla linksaf"},
	{Write: "turn -$1", Usual: []string{"90"}, Certain: true, everyday: "right, turn right, go right, rotate right, turn to the right, spin right;" +
		"rechts, nach rechts, rechts drehen; droite, à droite, tourne à droite; derecha, a la derecha; prawo, w prawo, skręć w prawo, obróć w prawo; rechtsaf, naar rechts, ga rechtsaf, sla rechtsaf"},
	{Write: "turn $1", Usual: []string{"90"}, everyday: "rotate, spin, angle, bend; drehe, dreh, drehen, wende; tourne, tourner, tournez, pivote; gira, girar, gire, rota; obróć, skręć, obrót; draai, draaien, keer"},
	{Write: "turn 180", Certain: true, everyday: "turn around, turn round, turn back, go around, turn half, half turn, half a turn, turn half around; dreh um, kehrt, umdrehen; demi-tour, fais demi-tour; media vuelta, da la vuelta; zawróć; keer om, draai om"},
	{Write: "turn 90", everyday: "quarter turn, turn a quarter, turn quarter, make a quarter turn; vierteldrehung; quart de tour; cuarto de vuelta; ćwierć obrotu; kwartslag"},
	{Write: "face $1", Usual: []string{"0"}, everyday: "look, look to, point, point to, aim, heading, direction, set heading, set direction, set angle, set the heading; schaue, schau, richte, richtung; regarde, oriente, direction; mira, apunta, dirección; patrz, skieruj, kierunek; kijk, richt, richting"},
	{Write: "shift 0, $1", Usual: []string{"20"}, Why: "`shift` goes so far up the sheet, and does not turn; the stylus itself is never lifted", everyday: "up, go up, move up; hoch, rauf, nach oben; haut, monte, en haut; arriba, sube, hacia arriba; do góry, w górę; omhoog, naar boven"},
	{Write: "shift 0, -$1", Usual: []string{"20"}, Why: "`shift` goes so far down the sheet, and does not turn; the stylus itself is always down", everyday: "down, go down, move down; runter, nach unten; bas, descends, en bas; abajo, baja, hacia abajo; w dół, na dół; omlaag, naar beneden"},
	{Write: "reach $1, $2", Usual: []string{"70", "50"}, everyday: "go to, move to, walk to, line to, draw to, draw line to, come to; gehe zu, gehe nach, geh zu, geh nach; va à, aller à, va vers; ve a, ir a, vaya a; idź do, przejdź do; ga naar, loop naar"},
	{Write: "sneak $1, $2", Usual: []string{"70", "50"}, everyday: "jump, jump to, hop, hop to, fly to, skip to; springe, spring, springe zu; saute, sauter, saute à; salta, saltar, salta a; skocz, skocz do; spring naar",
		Why: "the stylus never lifts: `sneak` goes there over line that is drawn already, where it can"},
	{Write: "begin $1, $2", Usual: []string{"page.center"}, everyday: "start, start at, start from, begin at, start point; starte, anfang, beginne, beginne bei; commence, commencer, début, départ; empieza, empezar, comienza, inicio; zacznij, początek; begin bij, start bij",
		Why: "`begin` says where the line starts, at the top of a program"},
	{Write: "draw curves.circle($1)", Thing: "a circle", Usual: []string{"20"}, Certain: true, everyday: "circle, ring, draw circle, draw a circle, draw ring, draw a ring, make a circle; kreis, ring, zeichne kreis, zeichne einen kreis, male einen kreis; cercle, rond, anneau, dessine un cercle; círculo, circulo, anillo, dibuja un círculo; koło, okrąg, kółko, narysuj koło; cirkel, rondje, teken een cirkel"},
	{Write: "loop 4 { ahead $1; turn 90 }", Thing: "a square", Usual: []string{"20"}, everyday: "square, box, draw square, draw a square, draw box, draw a box, make a square; quadrat, kasten, zeichne quadrat, zeichne ein quadrat; carré, boîte, dessine un carré; cuadrado, caja, dibuja un cuadrado; kwadrat, pudełko, narysuj kwadrat; vierkant, doos, teken een vierkant"},
	{Write: "loop 3 { ahead $1; turn 120 }", Thing: "a triangle", Usual: []string{"20"}, everyday: "triangle, draw triangle, draw a triangle, make a triangle; dreieck, zeichne dreieck, zeichne ein dreieck; triangle, dessine un triangle; triángulo, triangulo, dibuja un triángulo; trójkąt, narysuj trójkąt; driehoek, teken een driehoek"},
	{Write: "loop 2 { ahead $1; turn 90; ahead $2; turn 90 }", Thing: "a rectangle", Usual: []string{"40", "20"}, everyday: "rectangle, draw rectangle, draw a rectangle; rechteck, zeichne ein rechteck; rectangle, dessine un rectangle; rectángulo, dibuja un rectángulo; prostokąt, narysuj prostokąt; rechthoek, teken een rechthoek"},
	{Write: "draw curves.star(5, $1, $1 / 2)", Thing: "a star", Usual: []string{"20"}, everyday: "star, draw star, draw a star, make a star; stern, zeichne einen stern; étoile, dessine une étoile; estrella, dibuja una estrella; gwiazda, narysuj gwiazdę; ster, teken een ster"},
	{Write: "draw curves.polygon(5, $1)", Thing: "a pentagon", Usual: []string{"20"}, everyday: "pentagon, draw pentagon, draw a pentagon; fünfeck, zeichne ein fünfeck; pentagone; pentágono; pięciokąt; vijfhoek"},
	{Write: "draw curves.polygon(6, $1)", Thing: "a hexagon", Usual: []string{"20"}, everyday: "hexagon, draw hexagon, draw a hexagon; sechseck, zeichne ein sechseck; hexagone; hexágono; sześciokąt; zeshoek"},
	{Write: "draw curves.polygon(8, $1)", Thing: "an octagon", Usual: []string{"20"}, everyday: "octagon, draw octagon, draw an octagon; achteck; octogone; octágono; ośmiokąt; achthoek"},
	{Write: "draw curves.ellipse($1, $2)", Thing: "an ellipse", Usual: []string{"20", "12"}, everyday: "ellipse, oval, draw oval, draw an oval, draw ellipse, draw an ellipse; ovale; elipse, óvalo; elipsa, owal; ellips, ovaal"},
	{Write: "draw curves.cardioid($1)", Thing: "a heart", Usual: []string{"10"}, everyday: "heart, draw heart, draw a heart; herz, zeichne ein herz; cœur, coeur, dessine un cœur; corazón; serce; hart"},
	{Write: "draw curves.spiral(3, $1)", Thing: "a spiral", Usual: []string{"5"}, everyday: "spiral, draw spiral, draw a spiral, snail, coil; spirale, schnecke; spirale, escargot; espiral; spirala; spiraal"},
	{Write: "draw curves.rose(5, $1)", Thing: "a flower", Usual: []string{"20"}, everyday: "flower, draw flower, draw a flower, rose; blume, zeichne eine blume; fleur, dessine une fleur; flor; kwiat; bloem"},
	{Write: "draw curves.wave(3, 60, $1)", Thing: "a wave", Usual: []string{"10"}, everyday: "wave, draw wave, draw a wave, zigzag; welle; vague, onde; onda, ola; fala; golf"},
	{Write: "draw text($1)", Thing: "a text", Usual: []string{"\"hello\""}, Certain: true, everyday: "write, letters, draw text, text; schreib, schreibe, schrift; écris, écrire, ecris, texte; escribe, escribir, texto; napisz, pisz, tekst; schrijf, schrijven, tekst"},
	{Write: "note $1", Usual: []string{"\"hello\""}, Certain: true, everyday: "print, println, printf, puts, echo, display, show, tell, output, log, say, speak; zeige, zeig, anzeigen, ausgabe, sage, sag; affiche, afficher, montre, dis; muestra, mostrar, di; pokaż, wyświetl, powiedz; toon, laat zien, zeg"},
	{Write: "pause $1", Usual: []string{"\"go on?\""}, Why: "`pause` waits until a person says go on: a machine that draws does not wait by the clock",
		everyday: "wait, rest, hold; warte, warten, pausiere; attends, attendre; espera, esperar; czekaj, poczekaj; wacht, wachten"},
	{Write: "", everyday: "sleep, delay; schlafe, verzögere; dors, délai; duerme; śpij; slaap",
		Why: "a machine that draws does not wait by the clock, so this can be left out; `pause` waits for a person"},
	{Write: "loop $1 {", Usual: []string{"4"}, Certain: true, everyday: "repeat, again, do, times, redo, loop times; wiederhole, wiederholen, mal, immer wieder, nochmal; répète, répéter, repete, encore, fois; repite, repetir, otra vez, veces; powtórz, powtarzaj, jeszcze raz, razy; herhaal, herhalen, nog een keer, keer"},
	{Write: "if $1 {", Usual: []string{"size > 20"}, Certain: true, everyday: "when; wenn, falls; si, quand; si, cuando; jeśli, jeżeli, gdy; als, wanneer"},
	{Write: "else {", Certain: true, everyday: "otherwise; sonst, andernfalls; sinon; sino, si no; inaczej, w przeciwnym razie; anders"},
	{Write: "loop while $1 {", Usual: []string{"size < 50"}, Certain: true, everyday: "as long as; solange; tant que; mientras; dopóki, póki; zolang"},
	{Write: "", Lifts: true, everyday: "lift, lift up, raise, take off, lift the pen, raise the pen, pen up, stop drawing; hebe, heben, abheben, absetzen; lève, lever, soulève; levanta, levantar; podnieś, unieś; til op, optillen",
		Why: "the stylus never lifts: `sneak x, y` goes over line that is there, where it can, and `branch { … }` comes back over its own line"},
	{Write: "", Lowers: true, everyday: "lower, put down, pen down, lower the pen, put the pen down; senken, absenken; baisse, abaisse; baja el lápiz; opuść; laat zakken",
		Why: "the stylus is always down and draws, so this can be left out"},
	{Write: "", everyday: "end, stop, halt, finish, end if, end loop, endif, endfor, endwhile; ende, fertig, stopp; fin, fini, arrête; fin, termina, alto; koniec, stop, stój; einde, klaar",
		Why: "a block ends with `}` and a program with its last line, so this can be left out"},
	{Write: "draw shade($1)", Usual: []string{"curves.circle(20)"}, everyday: "colour in, color in, fill in, shade in, paint in, blacken; ausmalen, male aus, ausfüllen, schattiere; colorie, colorier, noircis; colorea, colorear, sombrea; pokoloruj, zamaluj; kleur in, inkleuren, vul in",
		Why: "a line has no colour: `shade` covers a shape with line, as dark as `tone:` says, and `hatch` covers it with rows"},
	{Write: "draw hatch($1, 2)", Usual: []string{"curves.circle(20)"}, everyday: "fill with lines, fill with stripes, stripe, cross hatch; schraffiere, schraffieren; hachure, hachurer; raya, rayar; zakreskuj; arceer, arceren"},
	{Write: "", everyday: "color, colour, paint, thick, thickness; farbe, dicke, fülle; couleur, épaisseur, remplis; color, grosor, rellena; kolor, grubość, wypełnij; kleur, dikte, vul",
		Why: "a line has no colour and one width, that of the stylus; leave this out"},
	{Write: "", everyday: "faster, slower, speed, set speed; schneller, langsamer, tempo; plus vite; más rápido; szybciej; sneller",
		Why: "how fast the machine draws stands in its profile; leave this out"},
}

// Order is a word that people type to be obeyed at once, with what does that.
type Order struct {
	Does string // at the prompt, or as a command
	Why  string // what is said in a file
	// Write is the statement that does the same within a program, if there is one.
	Write string
}

// orderRows are the words for orders, like meanings.
var orderRows = []struct{ everyday, does, why, write string }{
	{"undo, take back, oops, delete; rückgängig, zurücknehmen; annule, annuler, défaire; deshacer, deshaz; cofnij to; ongedaan maken, ongedaan", "/forget", "at the prompt `/forget` takes an entry back; in a file, take the line out", ""},
	{"clear, wipe, clean, new, new page, new sheet, restart, start over, start again, begin again; lösche, löschen, leeren, neu, wische, neu anfangen; efface, effacer, nouveau, recommence; borra, borrar, limpia, nuevo; wyczyść, wymaż, nowy, od nowa; wis, wissen, leeg, nieuw, opnieuw",
		"/new sheet", "`erase` begins a new sheet in a program; at the prompt that is `/new sheet`", "erase"},
	{"save, save as, store; speichern, speichere, sichern; enregistre, enregistrer, sauve; guarda, guardar; zapisz; opslaan, bewaar", "/save", "`wend build` writes the picture of a program; at the prompt `/save mine.wend` keeps the entries", ""},
	{"load, open; lade, laden, öffne; charge, ouvre; carga, abre; wczytaj, otwórz; laden, openen", "/load", "`wend build FILE` draws a program; at the prompt `/load mine.wend` takes its lines in", ""},
	{"help, help me, what can i do, commands, info; hilfe, hilf mir; aide, à l'aide; ayuda; pomoc, pomocy; hulp, help mij", "/help", "`wend explain` lists the words and `wend explain arc` explains one; at the prompt that is `/help`", ""},
	{"quit, exit, leave, goodbye, close; beenden, verlassen, tschüss; quitte, quitter, sortir, au revoir; salir, sal, adiós; wyjdź, zakończ, pa; afsluiten, stoppen, dag", "/leave", "at the prompt `/leave` ends it; a program ends with its last line", ""},
	{"run, go on, execute, draw it, start drawing; los, ausführen; lance, exécute; ejecuta, corre; uruchom, wykonaj; uitvoeren, voer uit", "wend build", "`wend build FILE` draws a program, `wend send FILE` has a machine draw it", ""},
	{"explain, words, list; erkläre, wörter; explique, mots; explica, palabras; wyjaśnij, słowa; uitleg, woorden", "/words", "`wend explain` lists the words; at the prompt that is `/words`", ""},
}

// values are everyday words for a value, with what wend writes; "" where there
// is no such value.
var values = map[string]string{
	"center": "page.center", "centre": "page.center", "middle": "page.center", "mitte": "page.center", "milieu": "page.center", "centro": "page.center", "środek": "page.center", "midden": "page.center",
	"page.centre": "page.center", "page.middle": "page.center", "page.mid": "page.center",
	"pagecenter": "page.center", "page_center": "page.center", "pagewidth": "page.width", "page_width": "page.width", "pageheight": "page.height", "page_height": "page.height",
	"origin": "(0, 0)", "corner": "(0, 0)",
	"True": "true", "False": "false", "TRUE": "true", "FALSE": "false", "yes": "true", "no": "false", "on": "true", "off": "false",
	"wahr": "true", "falsch": "false", "vrai": "true", "faux": "false", "verdadero": "true", "falso": "false", "prawda": "true", "fałsz": "false", "waar": "true", "onwaar": "false",
	"PI": "pi", "math.pi": "pi", "Math.PI": "pi",
	"left": "90", "right": "-90", "links": "90", "rechts": "-90", "gauche": "90", "droite": "-90", "izquierda": "90", "derecha": "-90",
	"around": "180", "round": "180", "back": "180",
	"null": "", "nil": "", "None": "", "none": "", "nothing": "", "undefined": "", "nichts": "", "rien": "", "nada": "", "nic": "", "niets": "",
}

// functions are what other languages call a function of the library; what is
// read after a value begins with a dot or a bracket, and a sign stands between
// two values.
var functions = map[string]string{
	"len": ".length", "length": ".length", "size": ".length", "count": ".length", "strlen": ".length", "sizeof": ".length",
	"sqr": "sqrt", "root": "sqrt", "int": "floor", "trunc": "floor", "integer": "floor", "fabs": "abs", "ceiling": "ceil",
	"rand": "random", "randint": "random", "rnd": "random", "dice": "random", "modulo": "mod", "remainder": "mod", "filter": "keep", "reduce": "fold",
	"maximum": "max", "minimum": "min", "reversed": "reverse", "sorted": "sort", "index": "find", "indexOf": "find", "includes": "contains", "has": "contains",
	"parseInt": "number", "parseFloat": "number", "parseint": "number", "tonumber": "number", "toNumber": "number", "to_number": "number", "atoi": "number",
	"toUpperCase": "upper", "to_upper": "upper", "toUpper": "upper", "uppercase": "upper", "ucase": "upper", "upcase": "upper", "toLowerCase": "lower", "to_lower": "lower", "toLower": "lower", "lowercase": "lower", "lcase": "lower", "downcase": "lower", "strip": "trim",
	"first": "[1]", "head": "[1]", "car": "[1]", "last": "[-1]", "second": "[2]", "cadr": "[2]", "tail": "[2..-1]", "rest": "[2..-1]", "cdr": "[2..-1]", "fst": ".x", "snd": ".y",
	"foldl": "fold", "inject": "fold", "fold_left": "fold", "collect": "map", "mapcar": "map", "transform": "map", "elem": "contains", "member": "contains", "contains?": "contains", "total": "sum", "pow": "^",
	"merge": "union", "combine": "union", "unite": "union", "add_shapes": "union", "vereinige": "union", "vereinigung": "union", "fusionne": "union", "une": "union", "połącz": "union", "voeg_samen": "union",
	"overlap": "intersection", "intersect": "intersection", "common": "intersection", "shared": "intersection", "schnitt": "intersection", "überlappung": "intersection", "recouvrement": "intersection",
	"subtract": "difference", "cutout": "difference", "cut_out": "difference", "hole": "difference", "holes": "difference", "punch": "difference", "stanze": "difference", "loch": "difference", "trou": "difference", "agujero": "difference", "dziura": "difference", "gat": "difference",
	"crop": "clip", "mask": "clip", "within": "clip", "hide": "behind", "hidden": "behind", "in_front": "behind", "occlude": "behind",
	"grow": "offset", "shrink": "offset", "inset": "offset", "outset": "offset", "buffer": "offset", "parallel": "offset", "surface": "area", "fläche": "area", "aire": "area", "área": "area", "balance": "centroid", "barycenter": "centroid", "schwerpunkt": "centroid",
	"stripes": "hatch", "hatching": "hatch", "schraffur": "hatch", "hachures": "hatch", "fill_in": "shade", "colour_in": "shade", "color_in": "shade", "shading": "shade", "svg": "drawing",
	"lerp": "mix", "interpolate": "mix", "circle": "curves.circle", "ring": "curves.circle", "arctan2": "atan2",
}

// subjects are what other languages, and people, call what wend's pages have a
// word for.
var subjects = map[string]string{
	"string": "text", "str": "text", "sentence": "text", "character": "text", "char": "text",
	"array": "list", "vector": "list", "sequence": "list", "tuple": "list", "row": "list",
	"dictionary": "record", "dict": "record", "object": "record", "struct": "record", "hash": "record", "table": "record", "class": "record",
	"def": "fn", "lambda": "fn", "method": "fn", "func": "fn", "fun": "fn", "subroutine": "figure", "procedure": "figure", "sub": "figure", "shape": "figure", "drawing": "figure", "picture": "figure", "define": "figure",
	"integer": "number", "float": "number", "int": "number", "decimal": "number", "boolean": "true", "var": "let", "const": "let", "val": "let", "set": "let", "assign": "let",
	"for": "loop", "foreach": "loop", "until": "loop", "elif": "else", "elseif": "else", "elsif": "else", "switch": "if", "match": "if", "case": "if", "import": "use", "include": "use", "require": "use",
	"xor": "or", "position": "here", "place": "here", "direction": "heading", "angle": "turn", "degrees": "turn", "corner": "turn", "line": "ahead",
	"pen": "stylus", "pencil": "stylus", "brush": "stylus", "crayon": "stylus", "marker": "stylus", "needle": "stylus", "cursor": "stylus", "stift": "stylus", "bleistift": "stylus", "stylo": "stylus", "lápiz": "stylus", "lapiz": "stylus", "ołówek": "stylus", "potlood": "stylus", "pinceau": "stylus",
	"paper": "sheet", "canvas": "page", "screen": "page", "board": "sheet", "papier": "sheet", "papel": "sheet",
	"radius": "arc", "grey": "shade", "gray": "shade", "shading": "shade", "hatching": "hatch", "font": "text", "name": "text", "word": "text", "photo": "image", "svg": "drawing", "csv": "data",
}

// takenFor are functions of wend that people mean by another of its words.
var takenFor = map[string][]string{"fill": {"hatch"}, "join": {"weave"}, "cut": {"clip"}, "scale": {"fit"}, "fit": {"scale"}, "contains": {"inside"}, "find": {"nearest"}, "mix": {"along"}, "rotate": {"mirror"}, "clip": {"inside"}}

// measures are everyday names for what can be asked of a value after a dot.
var measures = map[string][]string{
	"width": {"bounds.width"}, "height": {"bounds.height"}, "left": {"bounds.left"}, "right": {"bounds.right"}, "top": {"bounds.top"}, "bottom": {"bounds.bottom"},
	"center": {"bounds.center"}, "centre": {"bounds.center", "center"}, "middle": {"bounds.center", "center"}, "box": {"bounds"}, "bbox": {"bounds"}, "bound": {"bounds"}, "extent": {"bounds"}, "size": {"length", "bounds.width", "width"},
	"x": {"start.x", "center.x", "left"}, "y": {"start.y", "center.y", "bottom"}, "count": {"length"}, "len": {"length"}, "number": {"length"}, "total": {"sum()"},
	"first": {"start", "[1]"}, "last": {"end", "[-1]"}, "begin": {"start"}, "beginning": {"start"}, "finish": {"end"}, "stop": {"end"}, "begins": {"start"}, "ends": {"end"},
	"w": {"width", "bounds.width"}, "h": {"height", "bounds.height"},
}

// shapes are everyday names of shapes, each with the call of a curve up to its
// size.
var shapes = map[string]string{
	"triangle": "polygon(3, ", "square": "polygon(4, ", "pentagon": "polygon(5, ", "hexagon": "polygon(6, ", "heptagon": "polygon(7, ", "octagon": "polygon(8, ", "ring": "circle(", "disc": "circle(", "round": "circle(", "oval": "ellipse(",
	"heart": "cardioid(", "sine": "wave(", "sinus": "wave(", "coil": "spiral(", "helix": "spiral(", "flower": "rose(5, ", "eight": "lemniscate(", "infinity": "lemniscate(",
}

// places are words that stand before a place.
var places = map[string]bool{"at": true, "on": true, "in": true, "to": true, "from": true, "near": true, "around": true, "into": true, "onto": true, "auf": true, "bei": true, "an": true, "sur": true, "en": true, "na": true, "op": true, "the": true}

// appending are the names of methods by which other languages put a value at
// the end of a list.
var appending = map[string]bool{"append": true, "push": true, "add": true, "insert": true, "push_back": true, "extend": true, "anhängen": true, "ajouter": true, "agregar": true, "dodaj": true, "toevoegen": true}

// choosing are the names of functions by which other languages take one of
// several by chance.
var choosing = map[string]bool{"choice": true, "sample": true, "pick": true, "element": true, "select": true}

// times are words behind a number that say how often.
var times = map[string]bool{"times": true, "time": true, "mal": true, "fois": true, "veces": true, "vez": true, "razy": true, "keer": true}

// endless are words for what never ends.
var endless = map[string]bool{"forever": true, "always": true, "endless": true, "endlessly": true, "infinite": true, "infinitely": true, "ewig": true, "endlos": true, "immer": true, "toujours": true, "infini": true, "siempre": true, "infinito": true, "zawsze": true, "altijd": true, "eindeloos": true}

// parameters are everyday names for parameters of the library.
var parameters = map[string][]string{
	"size": {"height", "width", "radius", "amount"}, "font_size": {"height"}, "fontsize": {"height"}, "scale": {"factor", "by", "height"},
	"r": {"radius"}, "radius": {"width", "size"}, "gap": {"spacing"}, "distance": {"spacing", "step"}, "step": {"spacing"},
	"alignment": {"align"}, "justify": {"align"}, "typeface": {"font"}, "name": {"font"}, "degrees": {"angle"}, "rotation": {"angle"}, "count": {"sides", "times", "points"}, "n": {"sides", "points"},
	"maxwidth": {"width"}, "max_width": {"width"},
}

// units are ways to write a unit, with the one that is glued to a number; ""
// where the bare number means that.
var units = map[string]string{
	"mm": "mm", "cm": "cm", "in": "in", "deg": "deg", "rad": "rad",
	"millimeter": "mm", "millimeters": "mm", "millimetre": "mm", "millimetres": "mm", "millimètres": "mm", "milímetros": "mm", "milimetrów": "mm",
	"centimeter": "cm", "centimeters": "cm", "centimetre": "cm", "centimetres": "cm", "zentimeter": "cm", "centimètres": "cm", "centímetros": "cm", "centymetrów": "cm",
	"inch": "in", "inches": "in", "zoll": "in", "radians": "rad", "radian": "rad",
	"degree": "", "degrees": "", "grad": "", "degrés": "", "grados": "", "stopni": "", "graden": "", "°": "",
	"step": "", "steps": "", "schritt": "", "schritte": "", "pas": "", "pasos": "", "kroków": "", "stappen": "", "px": "", "pixel": "", "pixels": "", "unit": "", "units": "", "points": "",
}

// numberRows are the number words of each language, from their values on.
var numberRows = map[string]string{
	"0":   "zero, null, zéro, cero, nul",
	"1":   "one, eins, un, uno, jeden, een, één",
	"2":   "two, zwei, deux, dos, dwa, twee",
	"3":   "three, drei, trois, tres, trzy, drie",
	"4":   "four, vier, quatre, cuatro, cztery",
	"5":   "five, fünf, cinq, cinco, pięć, vijf",
	"6":   "six, sechs, seis, sześć, zes",
	"7":   "seven, sieben, sept, siete, siedem, zeven",
	"8":   "eight, acht, huit, ocho, osiem",
	"9":   "nine, neun, neuf, nueve, dziewięć, negen",
	"10":  "ten, zehn, dix, diez, dziesięć, tien",
	"12":  "twelve, zwölf, douze, doce, dwanaście, twaalf",
	"15":  "fifteen, fünfzehn, quinze, quince, piętnaście, vijftien",
	"20":  "twenty, zwanzig, vingt, veinte, dwadzieścia, twintig",
	"30":  "thirty, dreißig, trente, treinta, trzydzieści, dertig",
	"40":  "forty, fourty, vierzig, quarante, cuarenta, czterdzieści, veertig",
	"45":  "forty-five, fünfundvierzig, quarante-cinq",
	"50":  "fifty, fünfzig, cinquante, cincuenta, pięćdziesiąt, vijftig",
	"60":  "sixty, sechzig, soixante, sesenta, sześćdziesiąt, zestig",
	"70":  "seventy, siebzig, setenta, siedemdziesiąt, zeventig",
	"80":  "eighty, achtzig, ochenta, osiemdziesiąt, tachtig",
	"90":  "ninety, neunzig, noventa, dziewięćdziesiąt, negentig",
	"100": "hundred, hundert, cent, cien, sto, honderd",
}
