/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/frame.h"

#include <math.h>

static const double POINTS_A_METRE = 72.0 / 0.0254; /* on paper, at 1:1 */

/* The scales that people have rules for, and round ones between. */
static double rounded_ratio(double least)
{
    static const double STEP[] = {1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5};
    for (double ten = 10.0; ten < 1e9; ten *= 10.0)
        for (size_t i = 0; i < sizeof STEP / sizeof STEP[0]; i++)
            if (STEP[i] * ten >= least) return STEP[i] * ten;
    return least;
}

es_frame es_frame_fit(earshot_point low, earshot_point high, double left, double top, double width_pt, double height_pt,
                      bool round_scale, double *ratio)
{
    es_frame frame = {.low = low, .high = high, .left = left, .top = top};
    frame.scale = fmin(width_pt / (high.x_m - low.x_m), height_pt / (high.y_m - low.y_m));
    *ratio = 0.0;
    if (round_scale) {
        *ratio = rounded_ratio(POINTS_A_METRE / frame.scale);
        frame.scale = POINTS_A_METRE / *ratio;
    }
    /* The width that is left over goes to both sides. */
    frame.left += (width_pt - es_frame_width(&frame)) / 2.0;
    return frame;
}
