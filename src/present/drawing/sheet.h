/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Surfaces to draw on, and the files they become. */
#ifndef ES_SHEET_H
#define ES_SHEET_H

#include <cairo.h>
#include <pango/pangocairo.h>

#include "earshot/picture.h"

/* What a drawing function needs at hand. Units are points of 1/72 inch, y downwards. */
typedef struct es_pen {
    cairo_t *cairo;
    PangoFontMap *fonts;
    PangoContext *letters;
    earshot_language language;
    bool round_scale;      /* drawn on paper: choose a scale that a scale rule has */
    earshot_status status; /* the first failure of a drawing function; EARSHOT_OK so far */
} es_pen;

/* Draw with the left upper corner at 0, 0 in a given width, and if it can be helped not higher than `height_pt`.
 * Returns the height used. */
typedef double es_compose(es_pen *pen, const void *subject, double width_pt, double height_pt);

typedef struct es_picture {
    es_compose *compose;
    const void *subject;
    bool wide; /* better on a page lying on its side */
} es_picture;

enum { ES_PAGE_MARGIN = 40, ES_PICTURE_MARGIN = 10, ES_PIXELS_A_POINT = 2 };

/* Width and height of a paper standing upright. */
void es_paper_size(earshot_paper paper, double *width_pt, double *height_pt);

/* Takes over the surface; end with es_pen_close. false when the drawing library refuses. */
bool es_pen_open(es_pen *pen, cairo_surface_t *surface, earshot_language language);
/* Finish and let go of the surface; the pen's status tells of failures on the way. */
void es_pen_close(es_pen *pen);

/* How high a picture becomes. */
earshot_status es_picture_height(const es_picture *picture, earshot_language language, double width_pt,
                                 double height_pt, double *used_pt);
/* Draw pictures, a page each (only a PDF holds more than one), and append the file. */
earshot_status es_picture_write(const es_picture *picture, size_t n, const earshot_picture_look *look,
                                const char *title, earshot_text *out);

/* cairo's writer for an earshot_text. */
cairo_status_t es_sheet_sink(void *text, const unsigned char *data, unsigned n);
/* A PDF surface that tells no date; its text goes to `out`, which es_pdf_state_language then completes. */
cairo_surface_t *es_pdf_surface(double width_pt, double height_pt, const char *title, earshot_text *out);
/* Add the language, and that the title is to be shown, to a finished PDF that starts at out->data[from]. */
earshot_status es_pdf_state_language(earshot_text *out, size_t from, earshot_language language);

#endif
