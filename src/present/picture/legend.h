/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the signs of a picture mean. Signs and words flow in lines as wide as the picture. */
#ifndef ES_LEGEND_H
#define ES_LEGEND_H

#include "present/drawing/letters.h"
#include "present/picture/marks.h"

typedef struct es_legend {
    es_pen *pen;
    double width, x, y; /* x, y: where the next sign goes */
    double line;        /* height of a line */
    double top;
} es_legend;

/* Start a legend at `top`; es_legend_end returns how high it became. */
es_legend es_legend_start(es_pen *pen, double top, double width);
double es_legend_end(es_legend *legend);
/* Make room for a sign with words: *x, *y are the left middle of the sign. */
void es_legend_item(es_legend *legend, double sign_width, const char *words, double *x, double *y);
/* A new line, with a heading in bold. */
void es_legend_heading(es_legend *legend, const char *words);
void es_legend_mark(es_legend *legend, es_mark mark, const char *words);
/* The colour ramp with its figures and, below, how to read it. */
void es_legend_ramp(es_legend *legend, double need_db);

#endif
