/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything is stroked three times: a white rim that sets it off from any shading, a dark line, and inside it the tone
 * of the material, the darker the more it takes. */
#include "present/picture/structure.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "present/drawing/letters.h"

static const double DEFAULT_THICKNESS_M = 0.1;
static const double THINNEST_PT = 1.3, LINE_PT = 0.7, RIM_PT = 1.5;
static const double BLACK_FROM_DB = 30.0, WORTH_DRAWING_DB = 0.05;

typedef enum pass { RIM, LINE, TONE, PASSES } pass;

/* ---- materials ---- */

double es_structure_thickness_m(const earshot_material *material)
{
    double sum_m = 0.0;
    for (size_t i = 0; i < material->n_layers; i++) sum_m += material->layer[i].thickness_m;
    return sum_m > 0.0 ? sum_m : DEFAULT_THICKNESS_M;
}

/* The root spreads out the light materials, of which there are many. */
double es_structure_tone(double loss_db)
{
    const double share = isnan(loss_db) ? 0.0 : fmin(fmax(loss_db, 0.0) / BLACK_FROM_DB, 1.0);
    return 1.0 - 0.9 * pow(share, 0.6);
}

static double loss_of(const es_scene_look *look, size_t material)
{
    return earshot_material_loss_db(look->site, material, look->frequency_hz, NULL);
}

void es_structure_materials(const es_scene_look *look, bool *used)
{
    for (size_t i = 0; i < earshot_site_elements(look->site); i++) {
        const earshot_element e = earshot_site_element(look->site, i);
        if (e.storey == look->storey && e.kind != EARSHOT_ELEMENT_SLAB) used[e.material] = true;
    }
}

void es_structure_swatch(es_pen *pen, double x, double y, double width, double height, double loss_db)
{
    const double tone = es_structure_tone(loss_db);
    cairo_rectangle(pen->cairo, x, y, width, height);
    cairo_set_source_rgb(pen->cairo, tone, tone, tone);
    cairo_fill_preserve(pen->cairo);
    cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(pen->cairo, LINE_PT);
    cairo_stroke(pen->cairo);
}

static void stroke_pass(cairo_t *c, pass which, double width_pt, double tone)
{
    if (which == RIM) {
        cairo_set_source_rgb(c, 1.0, 1.0, 1.0);
        cairo_set_line_width(c, width_pt + 2.0 * RIM_PT);
    } else if (which == LINE) {
        cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
        cairo_set_line_width(c, width_pt + 2.0 * LINE_PT);
    } else {
        cairo_set_source_rgb(c, tone, tone, tone);
        cairo_set_line_width(c, width_pt);
    }
    cairo_stroke(c);
}

/* ---- openings in order along their walls ---- */

typedef struct gap {
    size_t wall, piece;
    double from, to; /* shares of the piece */
} gap;

typedef struct gaps {
    gap *item;
    size_t n;
    size_t *material; /* [n_walls] of each wall, for the thickness of what is in it */
} gaps;

static int compare_gaps(const void *a, const void *b)
{
    const gap *x = a, *y = b;
    if (x->wall != y->wall) return x->wall < y->wall ? -1 : 1;
    if (x->piece != y->piece) return x->piece < y->piece ? -1 : 1;
    return (x->from > y->from) - (x->from < y->from);
}

static double share_along(earshot_point a, earshot_point b, earshot_point p)
{
    const double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
    const double share = ((p.x_m - a.x_m) * dx + (p.y_m - a.y_m) * dy) / (dx * dx + dy * dy);
    return fmin(fmax(share, 0.0), 1.0);
}

static void free_gaps(gaps *g)
{
    free(g->item);
    free(g->material);
}

static bool find_gaps(const es_scene_look *look, gaps *found)
{
    const earshot_plan *plan = earshot_site_plan(look->site);
    *found = (gaps){.item = malloc((plan->n_openings + 1) * sizeof *found->item),
                    .material = calloc(plan->n_walls + 1, sizeof *found->material)};
    if (!found->item || !found->material) {
        free_gaps(found);
        return false;
    }
    for (size_t i = 0; i < earshot_site_elements(look->site); i++) {
        const earshot_element e = earshot_site_element(look->site, i);
        if (e.kind == EARSHOT_ELEMENT_WALL) found->material[e.statement] = e.material;
    }
    for (size_t i = 0; i < plan->n_openings; i++) {
        const earshot_opening *o = &plan->opening[i];
        if (o->storey != look->storey || o->wall >= plan->n_walls) continue;
        const earshot_wall *w = &plan->wall[o->wall];
        if (o->piece + 1 >= w->n_points) continue;
        const double a = share_along(w->point[o->piece], w->point[o->piece + 1], o->a);
        const double b = share_along(w->point[o->piece], w->point[o->piece + 1], o->b);
        found->item[found->n++] = (gap){o->wall, o->piece, fmin(a, b), fmax(a, b)};
    }
    qsort(found->item, found->n, sizeof *found->item, compare_gaps);
    return true;
}

static size_t first_gap(const gaps *g, size_t wall)
{
    size_t low = 0, high = g->n;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (g->item[middle].wall < wall)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* ---- walls ---- */

typedef struct corner {
    earshot_point at;
    bool starts; /* the line is lifted before it */
} corner;

static earshot_point between(earshot_point a, earshot_point b, double share)
{
    return (earshot_point){a.x_m + share * (b.x_m - a.x_m), a.y_m + share * (b.y_m - a.y_m)};
}

/* The wall's centre line with its openings left out. corner has room for all points and two for each gap. */
static size_t list_corners(const earshot_wall *wall, const gap *g, size_t n_gaps, corner *out)
{
    size_t n = 0, next = 0;
    out[n++] = (corner){wall->point[0], true};
    for (size_t piece = 0; piece + 1 < wall->n_points; piece++) {
        const earshot_point a = wall->point[piece], b = wall->point[piece + 1];
        for (; next < n_gaps && g[next].piece == piece; next++) {
            out[n++] = (corner){between(a, b, g[next].from), false};
            out[n++] = (corner){between(a, b, g[next].to), true};
        }
        out[n++] = (corner){b, false};
    }
    return n;
}

static bool is_closed(const earshot_wall *wall)
{
    const earshot_point a = wall->point[0], b = wall->point[wall->n_points - 1];
    return wall->n_points > 3 && a.x_m == b.x_m && a.y_m == b.y_m;
}

static void add_corner(cairo_t *c, const es_frame *frame, const corner *k)
{
    const double x = es_frame_x(frame, k->at.x_m), y = es_frame_y(frame, k->at.y_m);
    if (k->starts)
        cairo_move_to(c, x, y);
    else
        cairo_line_to(c, x, y);
}

/* A ring is begun behind an opening, so that its first corner is mitred like the others. */
static void add_ring(cairo_t *c, const es_frame *frame, const corner *k, size_t n)
{
    size_t first = 0;
    for (size_t i = 1; i < n && first == 0; i++)
        if (k[i].starts) first = i;
    for (size_t i = 0; first > 0 && i < n; i++) {
        const size_t j = (first + i) % n;
        if (j != 0) add_corner(c, frame, &k[j]);
    }
    if (first > 0) return;
    for (size_t i = 0; i + 1 < n; i++) add_corner(c, frame, &k[i]);
    cairo_close_path(c);
}

static double width_of(const es_frame *frame, const earshot_material *material)
{
    return fmax(es_structure_thickness_m(material) * frame->scale, THINNEST_PT);
}

static void draw_wall(es_pen *pen, const es_frame *frame, const es_scene_look *look, const gaps *g,
                      const earshot_element *e, pass which)
{
    const earshot_plan *plan = earshot_site_plan(look->site);
    const earshot_wall *wall = &plan->wall[e->statement];
    const size_t first = first_gap(g, e->statement);
    size_t n_gaps = 0;
    while (first + n_gaps < g->n && g->item[first + n_gaps].wall == e->statement) n_gaps++;
    corner *k = malloc((wall->n_points + 2 * n_gaps + 1) * sizeof *k);
    if (!k) {
        pen->status = EARSHOT_MEMORY;
        return;
    }
    const size_t n = list_corners(wall, &g->item[first], n_gaps, k);
    if (is_closed(wall))
        add_ring(pen->cairo, frame, k, n);
    else
        for (size_t i = 0; i < n; i++) add_corner(pen->cairo, frame, &k[i]);
    free(k);
    stroke_pass(pen->cairo, which, width_of(frame, &plan->material[e->material]),
                es_structure_tone(loss_of(look, e->material)));
}

/* ---- openings ---- */

/* A short line across the wall at one end of an opening. */
static void add_jamb(cairo_t *c, double x, double y, double nx, double ny, double half)
{
    cairo_move_to(c, x - nx * half, y - ny * half);
    cairo_line_to(c, x + nx * half, y + ny * half);
}

typedef struct span {
    double ax, ay, bx, by, length; /* of an opening, on the page */
    double wall_pt, loss_db;
} span;

static void add_span(cairo_t *c, const span *s)
{
    cairo_move_to(c, s->ax, s->ay);
    cairo_line_to(c, s->bx, s->by);
}

/* It fills the wall's thickness and shows two faces. */
static void draw_window(cairo_t *c, const span *s)
{
    for (pass which = RIM; which < PASSES; which++) {
        add_span(c, s);
        stroke_pass(c, which, s->wall_pt, 1.0);
    }
    add_span(c, s);
    stroke_pass(c, TONE, fmax(0.3 * s->wall_pt, 0.8), es_structure_tone(s->loss_db));
}

/* A leaf between its jambs; nothing where there is no leaf. */
static void draw_door(cairo_t *c, const span *s)
{
    if (!(s->loss_db > WORTH_DRAWING_DB)) return;
    for (pass which = LINE; which < PASSES; which++) {
        add_span(c, s);
        stroke_pass(c, which, fmax(0.5 * s->wall_pt, 0.8), es_structure_tone(s->loss_db));
    }
}

static void draw_jambs(cairo_t *c, const span *s)
{
    const double nx = -(s->by - s->ay) / s->length, ny = (s->bx - s->ax) / s->length;
    const double half = s->wall_pt / 2.0 + LINE_PT;
    add_jamb(c, s->ax, s->ay, nx, ny, half);
    add_jamb(c, s->bx, s->by, nx, ny, half);
    cairo_set_line_width(c, 1.4 * LINE_PT);
    cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
    cairo_stroke(c);
}

static void draw_opening(es_pen *pen, const es_frame *frame, const es_scene_look *look, const gaps *g,
                         const earshot_element *e)
{
    const earshot_plan *plan = earshot_site_plan(look->site);
    const earshot_opening *o = &plan->opening[e->statement];
    span s = {.ax = es_frame_x(frame, o->a.x_m),
              .ay = es_frame_y(frame, o->a.y_m),
              .bx = es_frame_x(frame, o->b.x_m),
              .by = es_frame_y(frame, o->b.y_m),
              .loss_db = loss_of(look, e->material)};
    s.length = hypot(s.bx - s.ax, s.by - s.ay);
    if (!(s.length > 0.0) || o->wall >= plan->n_walls) return;
    s.wall_pt = width_of(frame, &plan->material[g->material[o->wall]]);
    if (e->kind == EARSHOT_ELEMENT_WINDOW)
        draw_window(pen->cairo, &s);
    else
        draw_door(pen->cairo, &s);
    draw_jambs(pen->cairo, &s);
}

/* ---- blocks ---- */

static void add_polygon(cairo_t *c, const es_frame *frame, const earshot_point *point, size_t n)
{
    for (size_t i = 0; i < n; i++) cairo_line_to(c, es_frame_x(frame, point[i].x_m), es_frame_y(frame, point[i].y_m));
    cairo_close_path(c);
}

static void dash(cairo_t *c, double length)
{
    cairo_set_dash(c, &length, length > 0.0 ? 1 : 0, 0.0);
}

/* The label of a block, where it fits into its bounds. */
static void label_block(es_pen *pen, const es_frame *frame, const earshot_block *block, double ink)
{
    static const es_type TYPE = {.size_pt = 6.0, .align = ES_CENTRE};
    double left = INFINITY, right = -INFINITY, top = INFINITY, bottom = -INFINITY, width_pt, height_pt;
    if (!block->label) return;
    for (size_t i = 0; i < block->n_points; i++) {
        const double x = es_frame_x(frame, block->point[i].x_m), y = es_frame_y(frame, block->point[i].y_m);
        left = fmin(left, x);
        right = fmax(right, x);
        top = fmin(top, y);
        bottom = fmax(bottom, y);
    }
    es_letters_size(pen, block->label, TYPE, &width_pt, &height_pt);
    cairo_set_source_rgb(pen->cairo, ink, ink, ink);
    if (width_pt <= right - left && height_pt <= bottom - top)
        es_letters_line(pen, (left + right) / 2.0, (top + bottom - height_pt) / 2.0, block->label, TYPE);
    else if (width_pt <= bottom - top && height_pt <= right - left)
        es_letters_turned(pen, (left + right) / 2.0, (top + bottom) / 2.0, -ES_PI / 2.0, block->label, TYPE);
}

/* What takes nothing (an empty parking bay) is only hinted at. */
static void draw_block(es_pen *pen, const es_frame *frame, const es_scene_look *look, const earshot_element *e)
{
    const earshot_block *block = &earshot_site_plan(look->site)->block[e->statement];
    const double loss_db = loss_of(look, e->material), tone = es_structure_tone(loss_db);
    cairo_t *c = pen->cairo;
    add_polygon(c, frame, block->point, block->n_points);
    if (loss_db > WORTH_DRAWING_DB) {
        cairo_set_source_rgb(c, 1.0, 1.0, 1.0);
        cairo_set_line_width(c, 2.0 * RIM_PT);
        cairo_stroke_preserve(c);
        cairo_set_source_rgb(c, tone, tone, tone);
        cairo_fill_preserve(c);
    } else {
        dash(c, 2.5);
    }
    cairo_set_source_rgb(c, ES_INK, ES_INK, ES_INK);
    cairo_set_line_width(c, LINE_PT);
    cairo_stroke(c);
    dash(c, 0.0);
    label_block(pen, frame, block, tone < 0.5 ? 1.0 : ES_INK);
}

static void draw_holes(es_pen *pen, const es_frame *frame, const es_scene_look *look)
{
    const earshot_plan *plan = earshot_site_plan(look->site);
    for (size_t i = 0; i < plan->n_holes; i++) {
        if (plan->hole[i].storey != look->storey) continue;
        add_polygon(pen->cairo, frame, plan->hole[i].point, plan->hole[i].n_points);
        dash(pen->cairo, 1.5);
        cairo_set_line_width(pen->cairo, 0.6);
        cairo_set_source_rgb(pen->cairo, ES_INK, ES_INK, ES_INK);
        cairo_stroke(pen->cairo);
        dash(pen->cairo, 0.0);
    }
}

/* ---- the whole ---- */

/* A wall of this storey, for sorting. */
typedef struct drawn {
    earshot_element element;
    double thickness_m;
} drawn;

static int thin_first(const void *a, const void *b)
{
    const drawn *x = a, *y = b;
    if (x->thickness_m != y->thickness_m) return x->thickness_m < y->thickness_m ? -1 : 1;
    return (x->element.statement > y->element.statement) - (x->element.statement < y->element.statement);
}

/* Thick walls cover the ends of the thin ones that run into them. */
static void draw_walls(es_pen *pen, const es_frame *frame, const es_scene_look *look, const gaps *g)
{
    const earshot_plan *plan = earshot_site_plan(look->site);
    drawn *wall = malloc((plan->n_walls + 1) * sizeof *wall);
    size_t n = 0;
    if (!wall) {
        pen->status = EARSHOT_MEMORY;
        return;
    }
    for (size_t i = 0; i < earshot_site_elements(look->site); i++) {
        const earshot_element e = earshot_site_element(look->site, i);
        if (e.storey == look->storey && e.kind == EARSHOT_ELEMENT_WALL)
            wall[n++] = (drawn){e, es_structure_thickness_m(&plan->material[e.material])};
    }
    qsort(wall, n, sizeof *wall, thin_first);
    for (pass which = RIM; which < PASSES; which++)
        for (size_t i = 0; i < n; i++) draw_wall(pen, frame, look, g, &wall[i].element, which);
    free(wall);
}

void es_structure_draw(es_pen *pen, const es_frame *frame, const es_scene_look *look)
{
    gaps g;
    if (!find_gaps(look, &g)) {
        pen->status = EARSHOT_MEMORY;
        return;
    }
    cairo_save(pen->cairo);
    cairo_set_line_cap(pen->cairo, CAIRO_LINE_CAP_BUTT);
    cairo_set_line_join(pen->cairo, CAIRO_LINE_JOIN_MITER);
    draw_holes(pen, frame, look);
    for (size_t i = 0; i < earshot_site_elements(look->site); i++) {
        const earshot_element e = earshot_site_element(look->site, i);
        if (e.storey == look->storey && e.kind == EARSHOT_ELEMENT_BLOCK) draw_block(pen, frame, look, &e);
    }
    draw_walls(pen, frame, look, &g);
    for (size_t i = 0; i < earshot_site_elements(look->site); i++) {
        const earshot_element e = earshot_site_element(look->site, i);
        const bool opening = e.kind == EARSHOT_ELEMENT_DOOR || e.kind == EARSHOT_ELEMENT_WINDOW;
        if (e.storey == look->storey && opening) draw_opening(pen, frame, look, &g, &e);
    }
    cairo_restore(pen->cairo);
    free_gaps(&g);
}
