/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Devices, receivers and mounts on a plan, with labels that do not overlap. */
#ifndef ES_MARKS_H
#define ES_MARKS_H

#include "present/picture/frame.h"

/* Told apart by shape as well as by tone. */
typedef enum es_mark {
    ES_MARK_UNJUDGED, /* small ring */
    ES_MARK_DIRECT,   /* circle, bright */
    ES_MARK_REPEATER, /* diamond, grey */
    ES_MARK_WIRE,     /* square, dark */
    ES_MARK_RECEIVER, /* triangle */
    ES_MARK_MOUNT,    /* cross */
    ES_MARK_CROSSING  /* dot: where a line meets a wall */
} es_mark;

enum { ES_MARK_PT = 5 }; /* half its size, rim included */

es_mark es_mark_of_verdict(earshot_verdict verdict);
void es_mark_draw(es_pen *pen, es_mark mark, double x, double y);

/* A label to be placed, and where it went. */
typedef struct es_label {
    double x, y; /* of the mark it belongs to */
    const char *words;
    bool bold, badge;                /* a badge is white on dark: a number */
    bool important;                  /* placed first */
    double width, height, left, top; /* filled by es_labels_place; left is NAN where there was no room */
} es_label;

typedef struct es_box {
    double left, top, right, bottom;
} es_box;

/* Find a place for each label inside `area`, clear of all marks, `taken` boxes and other labels, and near its mark. */
void es_labels_place(es_pen *pen, es_label *label, size_t n, es_box area, const es_box *taken, size_t n_taken);
/* Draw them, with a leader where a label is not beside its mark. */
void es_labels_draw(es_pen *pen, const es_label *label, size_t n);

#endif
