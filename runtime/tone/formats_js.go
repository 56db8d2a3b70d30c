package tone

var (
	jpegs = format{"JPEG", begins("\xff\xd8\xff"), nil, nil, nil, nil}
	gifs  = format{"GIF", begins("GIF8"), nil, nil, nil, nil}
	webPs = format{"WebP", startsWebP, nil, nil, nil, nil}
)
