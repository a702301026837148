/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the plan lies on the page. */
#ifndef ES_FRAME_H
#define ES_FRAME_H

#include "present/drawing/sheet.h"

typedef struct es_frame {
    earshot_point low, high; /* what is shown, metres */
    double scale;            /* points a metre */
    double left, top;        /* of the point (low.x_m, high.y_m) on the page */
} es_frame;

/* Fit an extent into width and height with its left upper corner at left, top. When round_scale is set, the scale is
 * the next smaller one of a scale rule, and *ratio its 1:ratio, else 0. */
es_frame es_frame_fit(earshot_point low, earshot_point high, double left, double top, double width_pt, double height_pt,
                      bool round_scale, double *ratio);

static inline double es_frame_x(const es_frame *frame, double x_m)
{
    return frame->left + (x_m - frame->low.x_m) * frame->scale;
}

static inline double es_frame_y(const es_frame *frame, double y_m)
{
    return frame->top + (frame->high.y_m - y_m) * frame->scale;
}

static inline double es_frame_width(const es_frame *frame)
{
    return (frame->high.x_m - frame->low.x_m) * frame->scale;
}

static inline double es_frame_height(const es_frame *frame)
{
    return (frame->high.y_m - frame->low.y_m) * frame->scale;
}

#endif
