/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/marks.h"

#include "base/units.h"
#include "present/drawing/ramp.h"

es_mark es_mark_of_verdict(earshot_verdict verdict)
{
    if (verdict == EARSHOT_VERDICT_DIRECT) return ES_MARK_DIRECT;
    return verdict == EARSHOT_VERDICT_REPEATER ? ES_MARK_REPEATER : ES_MARK_WIRE;
}

static void add_diamond(cairo_t *c, double x, double y, double half)
{
    cairo_move_to(c, x, y - half);
    cairo_line_to(c, x + half, y);
    cairo_line_to(c, x, y + half);
    cairo_line_to(c, x - half, y);
    cairo_close_path(c);
}

static void add_triangle(cairo_t *c, double x, double y, double half)
{
    cairo_move_to(c, x, y - half);
    cairo_line_to(c, x + half, y + 0.8 * half);
    cairo_line_to(c, x - half, y + 0.8 * half);
    cairo_close_path(c);
}

static void add_cross(cairo_t *c, double x, double y, double half)
{
    cairo_move_to(c, x - half, y);
    cairo_line_to(c, x + half, y);
    cairo_move_to(c, x, y - half);
    cairo_line_to(c, x, y + half);
}

static void add_shape(cairo_t *c, es_mark mark, double x, double y)
{
    switch (mark) {
    case ES_MARK_UNJUDGED: cairo_arc(c, x, y, 2.6, 0.0, 2.0 * ES_PI); break;
    case ES_MARK_DIRECT: cairo_arc(c, x, y, 3.6, 0.0, 2.0 * ES_PI); break;
    case ES_MARK_REPEATER: add_diamond(c, x, y, 4.8); break;
    case ES_MARK_WIRE: cairo_rectangle(c, x - 3.4, y - 3.4, 6.8, 6.8); break;
    case ES_MARK_RECEIVER: add_triangle(c, x, y, 6.4); break;
    case ES_MARK_MOUNT: add_cross(c, x, y, 3.6); break;
    case ES_MARK_CROSSING: cairo_arc(c, x, y, 1.6, 0.0, 2.0 * ES_PI); break;
    }
}

static es_colour fill_of(es_mark mark)
{
    if (mark == ES_MARK_DIRECT) return es_ramp_at(1.0);
    if (mark == ES_MARK_REPEATER) return es_ramp_at(0.6);
    if (mark == ES_MARK_WIRE || mark == ES_MARK_RECEIVER) return es_ramp_at(0.0);
    return (es_colour){1.0, 1.0, 1.0};
}

void es_mark_draw(es_pen *pen, es_mark mark, double x, double y)
{
    cairo_t *c = pen->cairo;
    const es_colour fill = fill_of(mark);
    cairo_new_path(c);
    add_shape(c, mark, x, y);
    cairo_set_line_join(c, CAIRO_LINE_JOIN_ROUND);
    cairo_set_source_rgb(c, 1.0, 1.0, 1.0);
    cairo_set_line_width(c, 3.6);
    cairo_stroke_preserve(c);
    if (mark != ES_MARK_MOUNT) {
        cairo_set_source_rgb(c, fill.red, fill.green, fill.blue);
        cairo_fill_preserve(c);
    }
    cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(c, mark == ES_MARK_MOUNT ? 1.6 : 1.1);
    cairo_stroke(c);
}
