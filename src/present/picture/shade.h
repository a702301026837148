/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The dependable margin as shading, and as contour lines. */
#ifndef ES_SHADE_H
#define ES_SHADE_H

#include "present/picture/marks.h"

/* Between the centres of the cells the margin is interpolated, then coloured. */
void es_shade_draw(es_pen *pen, const es_frame *frame, const earshot_grid *grid);

/* The margin at a place, as drawn; NAN outside of the grid. */
double es_shade_at(const earshot_grid *grid, double x_m, double y_m);

/* One contour line: a chain of points. */
typedef struct es_contour {
    earshot_point *point; /* metres */
    size_t n;
    bool closed;
} es_contour;

typedef struct es_contours {
    es_contour *item;
    size_t n, capacity;
} es_contours;

/* All lines of one level, chained. false when memory is out; free with es_contours_clear. */
bool es_contours_find(const earshot_grid *grid, double level_db, es_contours *contours);
void es_contours_clear(es_contours *contours);

/* Lines at 0, at the need and at every 10 dB that occurs; and their labels, which lie above walls. */
void es_contours_draw(es_pen *pen, const es_frame *frame, const earshot_grid *grid, double need_db);
/* Labels of contour lines: where they went, so that other labels keep clear. */
enum { ES_CONTOUR_LABELS = 200 };
typedef struct es_contour_labels {
    es_box box[ES_CONTOUR_LABELS];
    size_t n;
} es_contour_labels;
/* They keep clear of `avoid`. */
void es_contours_label(es_pen *pen, const es_frame *frame, const earshot_grid *grid, double need_db,
                       const es_box *avoid, size_t n_avoid, es_contour_labels *labels);
/* A sample of how the line of 0 dB (0), of the need (1) or another (2) looks, for legends. */
void es_contours_sample(es_pen *pen, double x, double y, double width, int which);

#endif
