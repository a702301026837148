/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text in pictures and on pages, laid out by pango. */
#ifndef ES_LETTERS_H
#define ES_LETTERS_H

#include "present/drawing/sheet.h"

typedef enum es_align { ES_LEFT, ES_CENTRE, ES_RIGHT } es_align;

typedef struct es_type {
    double size_pt;
    bool bold;
    es_align align;
} es_type;

/* Width and height of a single line. */
void es_letters_size(es_pen *pen, const char *words, es_type type, double *width_pt, double *height_pt);
/* One line; x is its left, middle or right as type.align says, y its top. Drawn in the colour set. */
void es_letters_line(es_pen *pen, double x, double y, const char *words, es_type type);
/* The same, turned by an angle about its middle, which is at x, y. */
void es_letters_turned(es_pen *pen, double x, double y, double angle_rad, const char *words, es_type type);
/* A wrapped paragraph; returns its height. */
double es_letters_paragraph(es_pen *pen, double x, double y, double width_pt, const char *words, es_type type);
double es_letters_paragraph_height(es_pen *pen, double width_pt, const char *words, es_type type);
/* A layout for a paragraph, to be drawn line by line; free with g_object_unref. width_pt < 0: not wrapped. */
PangoLayout *es_letters_layout(es_pen *pen, const char *words, es_type type, double width_pt);

#endif
