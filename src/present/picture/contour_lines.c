/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How contour lines look, and where their labels go. */
#include <math.h>

#include "present/drawing/letters.h"
#include "present/drawing/ramp.h"
#include "present/language/say.h"
#include "present/picture/shade.h"

static const double STEP_DB = 10.0;
static const double SHORTEST_PT = 36.0;   /* what is shorter is noise */
static const double LABEL_FROM_PT = 90.0; /* shorter lines go without a label */
static const double CLEAR_PT = 22.0, WIDE_PT = 18.0, HIGH_PT = 9.0;
static const double FLAT_PT = 0.08, LONGEST_PT = 12.0;
#define LABEL_PT 6.5
enum { MOST_LEVELS = 40, SMOOTHINGS = 6 };

typedef struct style {
    double width_pt, dash_pt;
    bool main; /* 0 and the need: drawn twice, white on dark, to be seen everywhere */
} style;

static style style_of(double level_db, double need_db)
{
    if (level_db == 0.0) return (style){1.3, 0.0, true};
    if (level_db == need_db) return (style){1.3, 5.0, true};
    return (style){0.5, 0.0, false};
}

/* Strokes the path and keeps nothing of it. */
static void stroke_line(cairo_t *c, style s, bool on_dark)
{
    cairo_set_line_join(c, CAIRO_LINE_JOIN_ROUND);
    if (s.main) {
        cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
        cairo_set_line_width(c, s.width_pt + 1.3);
        cairo_stroke_preserve(c);
        cairo_set_source_rgb(c, 1.0, 1.0, 1.0);
    } else if (on_dark) {
        cairo_set_source_rgba(c, 1.0, 1.0, 1.0, 0.75);
    } else {
        cairo_set_source_rgba(c, 0.0, 0.0, 0.0, 0.6);
    }
    cairo_set_dash(c, &s.dash_pt, s.dash_pt > 0.0 ? 1 : 0, 0.0);
    cairo_set_line_width(c, s.width_pt);
    cairo_stroke(c);
    cairo_set_dash(c, NULL, 0, 0.0);
}

/* Where a shadow's edge runs aslant to the grid, the line climbs it in steps of a cell: each point moves half way
 * between its neighbours, some times over. The ends of an open line stay. */
static void smooth(es_contour *line)
{
    for (int round = 0; round < SMOOTHINGS && line->n > 2; round++) {
        earshot_point before = line->closed ? line->point[line->n - 2] : line->point[0];
        for (size_t i = line->closed ? 0 : 1; i + 1 < line->n; i++) {
            const earshot_point here = line->point[i], after = line->point[i + 1];
            line->point[i] = (earshot_point){(before.x_m + 2.0 * here.x_m + after.x_m) / 4.0,
                                             (before.y_m + 2.0 * here.y_m + after.y_m) / 4.0};
            before = here;
        }
        if (line->closed) line->point[line->n - 1] = line->point[0];
    }
}

static double length_pt(const es_contour *line, const es_frame *frame)
{
    double sum = 0.0;
    for (size_t i = 1; i < line->n; i++)
        sum += hypot(line->point[i].x_m - line->point[i - 1].x_m, line->point[i].y_m - line->point[i - 1].y_m);
    return sum * frame->scale;
}

/* How far b lies from the straight line between a and c. */
static double bulge(double ax, double ay, double bx, double by, double cx, double cy)
{
    const double length = hypot(cx - ax, cy - ay);
    return length > 0.0 ? fabs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) / length : hypot(bx - ax, by - ay);
}

/* Points that make no difference to the eye are left out: they are most of a line, and of a file. */
static void draw_line(cairo_t *c, const es_frame *frame, const es_contour *line, style s, bool on_dark)
{
    double last_x = NAN, last_y = NAN;
    cairo_new_path(c);
    for (size_t i = 0; i < line->n; i++) {
        const double x = es_frame_x(frame, line->point[i].x_m), y = es_frame_y(frame, line->point[i].y_m);
        if (i > 0 && i + 1 < line->n && hypot(x - last_x, y - last_y) < LONGEST_PT) {
            const earshot_point next = line->point[i + 1];
            const double next_x = es_frame_x(frame, next.x_m), next_y = es_frame_y(frame, next.y_m);
            if (bulge(last_x, last_y, x, y, next_x, next_y) < FLAT_PT) continue;
        }
        cairo_line_to(c, x, y);
        last_x = x;
        last_y = y;
    }
    stroke_line(c, s, on_dark);
}

/* ---- labels ---- */

static bool overlap(es_box a, es_box b)
{
    return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

static es_box around(double x, double y, double width, double height)
{
    return (es_box){x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0};
}

/* What labels are placed among. */
typedef struct label_places {
    const es_box *avoid;
    size_t n_avoid;
    es_contour_labels *labels;
} label_places;

static bool is_clear(const label_places *p, double x, double y)
{
    const es_box mine = around(x, y, WIDE_PT, HIGH_PT), apart = around(x, y, 2.0 * CLEAR_PT, 2.0 * CLEAR_PT);
    for (size_t i = 0; i < p->n_avoid; i++)
        if (overlap(mine, p->avoid[i])) return false;
    for (size_t i = 0; i < p->labels->n; i++)
        if (overlap(apart, p->labels->box[i])) return false;
    return p->labels->n < ES_CONTOUR_LABELS;
}

static bool is_well_inside(const es_frame *frame, double x, double y)
{
    const double edge = 1.5 * LABEL_PT;
    return x > frame->left + edge && x < frame->left + es_frame_width(frame) - edge && y > frame->top + edge &&
           y < frame->top + es_frame_height(frame) - edge;
}

/* How far a stretch of the line between two of its points is from straight: 1 is straight. */
static double straightness(const es_contour *line, size_t from, size_t to)
{
    double way = 0.0;
    for (size_t i = from + 1; i <= to; i++)
        way += hypot(line->point[i].x_m - line->point[i - 1].x_m, line->point[i].y_m - line->point[i - 1].y_m);
    const double straight =
        hypot(line->point[to].x_m - line->point[from].x_m, line->point[to].y_m - line->point[from].y_m);
    return way > 0.0 ? straight / way : 0.0;
}

static void draw_label(es_pen *pen, double x, double y, const char *figure)
{
    static const es_type TYPE = {.size_pt = LABEL_PT, .bold = true};
    double width_pt, height_pt;
    es_letters_size(pen, figure, TYPE, &width_pt, &height_pt);
    cairo_rectangle(pen->cairo, x - width_pt / 2.0 - 1.2, y - height_pt / 2.0 + 0.6, width_pt + 2.4, height_pt - 1.2);
    cairo_set_source_rgba(pen->cairo, 1.0, 1.0, 1.0, 0.8);
    cairo_fill(pen->cairo);
    cairo_set_source_rgb(pen->cairo, 0.0, 0.0, 0.0);
    es_letters_line(pen, x - width_pt / 2.0, y - height_pt / 2.0, figure, TYPE);
}

/* In the straightest stretch that is long enough and clear of other labels. */
static void label_line(es_pen *pen, const es_frame *frame, const es_contour *line, double level_db,
                       const label_places *l)
{
    char figure[ES_SAY_FIGURE];
    double best = 0.6, x = 0.0, y = 0.0;
    bool found = false;
    size_t to = 0;
    for (size_t from = 0; from < line->n; from++) {
        const earshot_point a = line->point[from];
        while (to + 1 < line->n &&
               hypot(line->point[to].x_m - a.x_m, line->point[to].y_m - a.y_m) * frame->scale < 2.0 * LABEL_PT)
            to++;
        const earshot_point m = line->point[from + (to - from) / 2];
        const double score = straightness(line, from, to);
        const double mx = es_frame_x(frame, m.x_m), my = es_frame_y(frame, m.y_m);
        if (score <= best || !is_well_inside(frame, mx, my) || !is_clear(l, mx, my)) continue;
        found = true;
        best = score;
        x = mx;
        y = my;
    }
    if (!found) return;
    l->labels->box[l->labels->n++] = around(x, y, WIDE_PT, HIGH_PT);
    draw_label(pen, x, y, es_say_figure(figure, pen->language, level_db, 0));
}

/* ---- all ---- */

typedef struct drawn {
    es_pen *pen;
    const es_frame *frame;
    const earshot_grid *grid;
    double need_db;
    const label_places *places; /* NULL: the lines, not their labels */
} drawn;

static void draw_level(drawn *d, double level_db)
{
    es_contours lines;
    const bool on_dark = level_db < (ES_RAMP_LOW_DB + ES_RAMP_HIGH_DB) / 2.0;
    if (!es_contours_find(d->grid, level_db, &lines)) {
        d->pen->status = EARSHOT_MEMORY;
        return;
    }
    for (size_t i = 0; i < lines.n; i++) {
        es_contour *line = &lines.item[i];
        const double length = length_pt(line, d->frame);
        if (length < (d->places ? LABEL_FROM_PT : SHORTEST_PT)) continue;
        smooth(line);
        if (d->places)
            label_line(d->pen, d->frame, line, level_db, d->places);
        else
            draw_line(d->pen->cairo, d->frame, line, style_of(level_db, d->need_db), on_dark);
    }
    es_contours_clear(&lines);
}

/* The lines that matter most come last, and lie on top; their labels come first, and find room. */
static void draw_levels(drawn *d)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < d->grid->rows * d->grid->columns; i++) {
        low = fmin(low, d->grid->dependable_db[i]);
        high = fmax(high, d->grid->dependable_db[i]);
    }
    if (d->places) draw_level(d, d->need_db);
    double level = ceil(fmax(low, ES_RAMP_LOW_DB) / STEP_DB) * STEP_DB;
    for (int i = 0; i < MOST_LEVELS && level <= high; i++, level += STEP_DB)
        if (level != 0.0 && level != d->need_db) draw_level(d, level);
    if (!d->places) draw_level(d, d->need_db);
    if (d->need_db != 0.0) draw_level(d, 0.0);
}

static void draw_clipped(es_pen *pen, const es_frame *frame, const earshot_grid *grid, double need_db,
                         const label_places *places)
{
    drawn d = {.pen = pen, .frame = frame, .grid = grid, .need_db = need_db, .places = places};
    cairo_save(pen->cairo);
    cairo_rectangle(pen->cairo, frame->left, frame->top, es_frame_width(frame), es_frame_height(frame));
    cairo_clip(pen->cairo);
    draw_levels(&d);
    cairo_restore(pen->cairo);
}

void es_contours_draw(es_pen *pen, const es_frame *frame, const earshot_grid *grid, double need_db)
{
    draw_clipped(pen, frame, grid, need_db, NULL);
}

void es_contours_label(es_pen *pen, const es_frame *frame, const earshot_grid *grid, double need_db,
                       const es_box *avoid, size_t n_avoid, es_contour_labels *labels)
{
    const label_places among = {avoid, n_avoid, labels};
    labels->n = 0;
    draw_clipped(pen, frame, grid, need_db, &among);
}

void es_contours_sample(es_pen *pen, double x, double y, double width, int which)
{
    const style s = style_of(which == 0 ? 0.0 : which == 1 ? 1.0 : 2.0, 1.0);
    cairo_new_path(pen->cairo);
    cairo_move_to(pen->cairo, x, y);
    cairo_line_to(pen->cairo, x + width, y);
    stroke_line(pen->cairo, s, false);
}
