/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dimensions along two sides, and the scale bar. */
#ifndef ES_MEASURES_H
#define ES_MEASURES_H

#include "present/picture/frame.h"

enum { ES_MEASURES_PT = 30 }; /* the room they take beside the frame */

/* Along the left side and below: the buildings and the gaps between them, and the whole. Storey: whose walls. */
void es_measures_draw(es_pen *pen, const es_frame *frame, const earshot_plan *plan, unsigned storey);
/* A bar of a round length with its words; returns its width. Ratio of the scale, 0: not stated. */
double es_scale_bar_draw(es_pen *pen, double x, double y, double scale, double ratio);

#endif
