/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/measures.h"

#include <math.h>
#include <stdlib.h>

#include "base/number.h"
#include "base/text.h"
#include "base/units.h"
#include "present/drawing/letters.h"
#include "present/drawing/ramp.h"
#include "present/language/say.h"

static const double FIGURE_PT = 6.5, NEAR_PT = 10.0, FAR_PT = 22.0, TICK_PT = 2.5;
static const double ROOM_PT = 21.0; /* what a figure of a chain needs */

typedef struct stretch {
    double from, to; /* metres along the side */
} stretch;

static int by_from(const void *a, const void *b)
{
    const stretch *x = a, *y = b;
    return (x->from > y->from) - (x->from < y->from);
}

static stretch stretch_of(const earshot_wall *wall, bool upright)
{
    stretch s = {INFINITY, -INFINITY};
    for (size_t i = 0; i < wall->n_points; i++) {
        const double at = upright ? wall->point[i].y_m : wall->point[i].x_m;
        s.from = fmin(s.from, at);
        s.to = fmax(s.to, at);
    }
    return s;
}

/* The shadows of the walls on one side, those that touch made one: the buildings. NULL: memory, or no walls (*n 0). */
static stretch *find_buildings(const earshot_plan *plan, unsigned storey, bool upright, size_t *n)
{
    stretch *s = malloc((plan->n_walls + 1) * sizeof *s);
    size_t all = 0;
    *n = 0;
    if (!s) return NULL;
    for (size_t i = 0; i < plan->n_walls; i++)
        if (plan->wall[i].storey == storey) s[all++] = stretch_of(&plan->wall[i], upright);
    qsort(s, all, sizeof *s, by_from);
    for (size_t i = 0; i < all; i++) {
        if (*n > 0 && s[i].from <= s[*n - 1].to)
            s[*n - 1].to = fmax(s[*n - 1].to, s[i].to);
        else
            s[(*n)++] = s[i];
    }
    return s;
}

/* One dimension line between two points of the page, at an offset to its left (upright) or below. */
static void draw_dimension(es_pen *pen, const es_frame *frame, bool upright, double from_m, double to_m, double away)
{
    cairo_t *c = pen->cairo;
    char figure[ES_SAY_FIGURE], words[ES_SAY_FIGURE];
    const double a = upright ? es_frame_y(frame, from_m) : es_frame_x(frame, from_m);
    const double b = upright ? es_frame_y(frame, to_m) : es_frame_x(frame, to_m);
    const double line = upright ? frame->left - away : frame->top + es_frame_height(frame) + away;
    cairo_set_source_rgb(c, 0.25, 0.25, 0.25);
    cairo_set_line_width(c, 0.5);
    for (int end = 0; end < 2; end++) { /* a slanted tick, as on building drawings */
        const double at = end ? b : a;
        cairo_move_to(c, upright ? line - TICK_PT : at - TICK_PT, upright ? at + TICK_PT : line + TICK_PT);
        cairo_line_to(c, upright ? line + TICK_PT : at + TICK_PT, upright ? at - TICK_PT : line - TICK_PT);
    }
    cairo_move_to(c, upright ? line : a, upright ? a : line);
    cairo_line_to(c, upright ? line : b, upright ? b : line);
    cairo_stroke(c);
    if (fabs(b - a) < ROOM_PT) return;
    es_format(words, sizeof words, "%s m", es_say_figure(figure, pen->language, to_m - from_m, 2));
    const es_type type = {.size_pt = fabs(b - a) < 1.5 * ROOM_PT ? 0.85 * FIGURE_PT : FIGURE_PT};
    es_letters_turned(pen, upright ? line - 5.0 : (a + b) / 2.0, upright ? (a + b) / 2.0 : line + 5.5,
                      upright ? -ES_PI / 2.0 : 0.0, words, type);
}

static void draw_side(es_pen *pen, const es_frame *frame, const earshot_plan *plan, unsigned storey, bool upright)
{
    size_t n;
    stretch *s = find_buildings(plan, storey, upright, &n);
    if (!s) {
        pen->status = EARSHOT_MEMORY;
        return;
    }
    for (size_t i = 0; i < n; i++) {
        draw_dimension(pen, frame, upright, s[i].from, s[i].to, NEAR_PT);
        if (i + 1 < n) draw_dimension(pen, frame, upright, s[i].to, s[i + 1].from, NEAR_PT);
    }
    if (n > 1) draw_dimension(pen, frame, upright, s[0].from, s[n - 1].to, FAR_PT);
    free(s);
}

void es_measures_draw(es_pen *pen, const es_frame *frame, const earshot_plan *plan, unsigned storey)
{
    draw_side(pen, frame, plan, storey, false);
    draw_side(pen, frame, plan, storey, true);
}

/* The largest of 1, 2, 5 x 10^k metres that is not longer than some 90 points. */
static double bar_length_m(double scale)
{
    double best = 0.01;
    for (double ten = 0.01; ten < 1e6; ten *= 10.0)
        for (int step = 0; step < 3; step++) {
            static const double STEP[] = {1.0, 2.0, 5.0};
            if (STEP[step] * ten * scale <= 90.0) best = STEP[step] * ten;
        }
    return best;
}

double es_scale_bar_draw(es_pen *pen, double x, double y, double scale, double ratio)
{
    cairo_t *c = pen->cairo;
    const double length_m = bar_length_m(scale), width = length_m * scale;
    char figure[ES_SAY_FIGURE], size[ES_SAY_FIGURE];
    earshot_text words = {0};
    for (int half = 0; half < 2; half++) {
        cairo_rectangle(c, x + half * width / 2.0, y + 2.5, width / 2.0, 3.0);
        cairo_set_source_rgb(c, half ? 1.0 : ES_INK, half ? 1.0 : ES_INK, half ? 1.0 : ES_INK);
        cairo_fill_preserve(c);
        cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
        cairo_set_line_width(c, 0.6);
        cairo_stroke(c);
    }
    es_say_figure(size, pen->language, length_m, length_m < 1.0 ? 2 : 0);
    if (ratio > 0.0)
        ES_SAY(&words, pen->language, ES_SAY_SCALE_RATIO, size, es_say_figure(figure, pen->language, ratio, 0));
    else
        ES_SAY(&words, pen->language, ES_SAY_SCALE, size);
    double width_pt, height_pt;
    const es_type type = {.size_pt = 7.0};
    if (words.failed) pen->status = EARSHOT_MEMORY;
    es_letters_size(pen, words.data ? words.data : "", type, &width_pt, &height_pt);
    es_letters_line(pen, x + width + 4.0, y + 4.0 - height_pt / 2.0, words.data ? words.data : "", type);
    earshot_text_clear(&words);
    return width + 4.0 + width_pt;
}
