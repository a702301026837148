/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Making the grid: what each step drills through, what is outdoors, what lies by a wall. */
#include "decide/route_grid.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double AROUND_M = 1.5;        /* of the outdoors that is kept around the site */
static const double BELOW_CEILING_M = 0.1; /* height of the cables: common practice, no source */
static const double BY_WALL_M = 0.3;       /* a run so near a wall counts as along it */
static const double FIXED_M = 1e-3;        /* nearer to a wall than that: fixed to it, on whichever side */
static const double SAME_SPOT_M = 1e-3;    /* walls met so near each other need one hole */

const int es_step_column[ES_STEPS] = {1, 0, 1, -1, -1, 0, -1, 1, 0, 0};
const int es_step_row[ES_STEPS] = {0, 1, 1, 1, 0, -1, -1, -1, 0, 0};

/* --- places ---------------------------------------------------------------------------------------------------- */

earshot_vec3 es_route_centre(const es_route_grid *g, size_t cell)
{
    const size_t deck = cell / g->n_cells, in = cell % g->n_cells;
    return (earshot_vec3){g->x0_m + g->cell_m * (double)(in % g->columns),
                          g->y0_m + g->cell_m * (double)(in / g->columns), g->run_m[deck]};
}

static earshot_point centre(const es_route_grid *g, size_t in)
{
    return (earshot_point){g->x0_m + g->cell_m * (double)(in % g->columns),
                           g->y0_m + g->cell_m * (double)(in / g->columns)};
}

size_t es_route_deck(const es_route_grid *g, double z_m)
{
    size_t deck = 0;
    while (deck + 1 < g->site.n_decks && g->site.deck[deck + 1].level_m <= z_m) deck++;
    return deck;
}

double es_route_rate(const es_route_grid *g, size_t cell)
{
    const es_route_prices *prices = &g->site.prices;
    if (g->outdoor[cell]) return prices->outdoor;
    return g->near_wall[cell] ? prices->along_wall : prices->across_room;
}

/* --- what a line meets ----------------------------------------------------------------------------------------- */

bool es_route_stands(double z0_m, double z1_m, double z_m)
{
    return z0_m <= z_m && z_m < z1_m;
}

static double side(earshot_point a, earshot_point b, earshot_point p)
{
    return (b.x_m - a.x_m) * (p.y_m - a.y_m) - (b.y_m - a.y_m) * (p.x_m - a.x_m);
}

double es_route_meets(earshot_point a, earshot_point b, earshot_point p, earshot_point q)
{
    const double from = side(a, b, p), to = side(a, b, q);
    if ((from < 0.0) == (to < 0.0)) return -1.0;
    const double first = side(p, q, a), second = side(p, q, b);
    const double slack = 1e-9 * (fabs(first) + fabs(second));
    if ((first < -slack && second < -slack) || (first > slack && second > slack)) return -1.0;
    return from / (from - to);
}

/* The holes of one line: walls met at one spot need one. */
typedef struct holes {
    double length_m;
    double at[8]; /* shares of the way where there is one */
    unsigned n;
} holes;

static void add_hole(holes *h, double at, es_barrier barrier)
{
    if (barrier == ES_BARRIER_SHUT) h->n = ES_HOLES_SHUT;
    if (h->n == ES_HOLES_SHUT) return;
    for (unsigned i = 0; i < h->n && i < 8; i++)
        if (fabs(h->at[i] - at) * h->length_m < SAME_SPOT_M) return;
    if (h->n < 8) h->at[h->n] = at;
    if (h->n < ES_HOLES_SHUT - 1) h->n++;
}

static bool is_fixed_to(earshot_point p, earshot_point a, earshot_point b)
{
    return es_segment_distance_m(a, b, p, NULL) <= FIXED_M;
}

typedef struct line {
    const es_route_grid *grid;
    earshot_point p, q;
    double z_m;
    holes holes;
    size_t *element, limit, *n;
} line;

static void cross_line(void *context, const es_route_face *f)
{
    line *l = context;
    if (!es_route_stands(f->z0_m, f->z1_m, l->z_m)) return;
    const double at = es_route_meets(f->a, f->b, l->p, l->q);
    if (at < 0.0 || is_fixed_to(l->p, f->a, f->b)) return; /* few meet, so the distance is asked for last */
    const unsigned before = l->holes.n;
    add_hole(&l->holes, at, (es_barrier)l->grid->site.barrier[f->element]);
    if (l->element && l->holes.n > before && *l->n < l->limit) l->element[(*l->n)++] = f->element;
}

unsigned es_route_walls(const es_route_grid *g, size_t deck, earshot_point p, earshot_point q, size_t *element,
                        size_t limit, size_t *n)
{
    line l = {.grid = g, .p = p, .q = q, .z_m = g->run_m[deck], .element = element, .limit = limit, .n = n};
    l.holes.length_m = hypot(q.x_m - p.x_m, q.y_m - p.y_m);
    es_route_faces_near(&g->faces, p, q, FIXED_M, cross_line, &l);
    return l.holes.n;
}

unsigned es_route_blocks(const es_route_grid *g, earshot_vec3 place, double to_m)
{
    size_t n;
    const es_prism *prism = es_geometry_prisms(g->site.geometry, &n);
    const double low = fmin(place.z_m, to_m), high = fmax(place.z_m, to_m);
    unsigned inside = 0;
    for (size_t i = 0; i < n; i++) {
        if (g->site.barrier[prism[i].element] == ES_BARRIER_NONE) continue;
        const bool leaves = low > prism[i].z0_m && low < prism[i].z1_m && high >= prism[i].z1_m;
        inside += leaves &&
                  es_polygon_contains(prism[i].outline, prism[i].n_outline, (earshot_point){place.x_m, place.y_m}, 0.0);
    }
    return inside;
}

/* --- steps ----------------------------------------------------------------------------------------------------- */

bool es_route_step(const es_route_grid *g, size_t cell, unsigned direction, es_step *step)
{
    const size_t deck = cell / g->n_cells, in = cell % g->n_cells;
    if (direction == ES_STEP_UP || direction == ES_STEP_DOWN) {
        const bool up = direction == ES_STEP_UP;
        if (up ? deck + 1 == g->site.n_decks : deck == 0) return false;
        const size_t lower = up ? cell : cell - g->n_cells;
        *step = (es_step){.to = up ? cell + g->n_cells : lower, .slabs = g->slabs[lower]};
        step->length_m = g->run_m[lower / g->n_cells + 1] - g->run_m[lower / g->n_cells];
        return step->slabs != ES_HOLES_SHUT;
    }
    const long column = (long)(in % g->columns) + es_step_column[direction];
    const long row = (long)(in / g->columns) + es_step_row[direction];
    if (column < 0 || row < 0 || column >= (long)g->columns || row >= (long)g->rows) return false;
    const size_t to = deck * g->n_cells + (size_t)row * g->columns + (size_t)column;
    const bool kept = direction < ES_KEPT;
    *step = (es_step){.to = to, .walls = g->holes[(kept ? cell : to) * ES_KEPT + direction % ES_KEPT]};
    const bool slanting = es_step_column[direction] && es_step_row[direction];
    step->length_m = slanting ? g->cell_m * sqrt(2.0) : g->cell_m;
    return step->walls != ES_HOLES_SHUT;
}

/* --- drawing the site on the grid ------------------------------------------------------------------------------ */

typedef struct drawing {
    es_route_grid *grid;
    size_t deck;
    uint8_t *closed; /* [n_cells][ES_KEPT] a wall, door or window of any height stands in the step */
    float *spot;     /* [n_cells][ES_KEPT] where the last hole of a step is */
} drawing;

typedef struct span {
    size_t from, to;
} span;

static span cells_between(double a, double b, double origin, double cell_m, size_t n)
{
    const double low = floor((fmin(a, b) - origin) / cell_m) - 1.0, high = ceil((fmax(a, b) - origin) / cell_m) + 1.0;
    return (span){low < 0.0 ? 0 : (size_t)low, high < 0.0 ? 0 : high >= (double)n ? n : (size_t)high + 1};
}

static void draw_step(drawing *d, size_t in, unsigned direction, const es_route_face *f, bool runs_here)
{
    es_route_grid *g = d->grid;
    const earshot_point p = centre(g, in);
    const earshot_point q = {p.x_m + g->cell_m * es_step_column[direction], p.y_m + g->cell_m * es_step_row[direction]};
    const double at = es_route_meets(f->a, f->b, p, q);
    if (at < 0.0) return;
    d->closed[in * ES_KEPT + direction] = 1;
    if (!runs_here) return;
    uint8_t *holes_here = &g->holes[(d->deck * g->n_cells + in) * ES_KEPT + direction];
    float *spot = &d->spot[in * ES_KEPT + direction];
    if (g->site.barrier[f->element] == ES_BARRIER_SHUT) *holes_here = ES_HOLES_SHUT;
    const bool same = *holes_here && fabs(at - (double)*spot) * g->cell_m < SAME_SPOT_M;
    if (*holes_here >= ES_HOLES_SHUT - 1 || same) return;
    ++*holes_here;
    *spot = (float)at;
}

static void draw_cell(drawing *d, size_t in, const es_route_face *f, bool runs_here)
{
    es_route_grid *g = d->grid;
    const double distance = es_segment_distance_m(f->a, f->b, centre(g, in), NULL);
    if (runs_here && distance <= fmax(BY_WALL_M, 0.75 * g->cell_m)) g->near_wall[d->deck * g->n_cells + in] = 1;
    if (distance > 1.5 * g->cell_m) return;
    for (unsigned direction = 0; direction < ES_KEPT; direction++) draw_step(d, in, direction, f, runs_here);
}

static void draw_face(drawing *d, const es_route_face *f)
{
    const es_route_grid *g = d->grid;
    const es_deck *deck = &g->site.deck[d->deck];
    if (f->z1_m <= deck->level_m || f->z0_m >= deck->level_m + deck->height_m) return;
    const bool runs_here = es_route_stands(f->z0_m, f->z1_m, g->run_m[d->deck]);
    const double reach = fmax(BY_WALL_M, g->cell_m);
    const span x = cells_between(fmin(f->a.x_m, f->b.x_m) - reach, fmax(f->a.x_m, f->b.x_m) + reach, g->x0_m, g->cell_m,
                                 g->columns);
    const span y =
        cells_between(fmin(f->a.y_m, f->b.y_m) - reach, fmax(f->a.y_m, f->b.y_m) + reach, g->y0_m, g->cell_m, g->rows);
    for (size_t row = y.from; row < y.to; row++)
        for (size_t column = x.from; column < x.to; column++) draw_cell(d, row * g->columns + column, f, runs_here);
}

static bool under_sheet(const es_route_grid *g, size_t deck, earshot_point p)
{
    size_t n;
    const es_sheet *sheet = es_geometry_sheets(g->site.geometry, &n);
    for (size_t i = 0; i < n; i++)
        if (sheet[i].z_m > g->run_m[deck] && es_polygon_contains(sheet[i].outline, sheet[i].n_outline, p, 0.0))
            return true;
    return false;
}

/* Outdoors: what can be walked to from the edge of the grid without passing a wall, door or window, and has nothing
 * above it. */
static void flood_outdoors(drawing *d, size_t *stack)
{
    es_route_grid *g = d->grid;
    uint8_t *outdoor = g->outdoor + d->deck * g->n_cells;
    size_t n = 0;
    for (size_t in = 0; in < g->n_cells; in++) {
        const size_t column = in % g->columns, row = in / g->columns;
        if (column && row && column + 1 < g->columns && row + 1 < g->rows) continue;
        outdoor[in] = 1;
        stack[n++] = in;
    }
    while (n) {
        const size_t in = stack[--n];
        const size_t column = in % g->columns, row = in / g->columns;
        const struct {
            bool there;
            size_t to, step;
        } next[] = {{column + 1 < g->columns, in + 1, in * ES_KEPT + ES_STEP_E},
                    {row + 1 < g->rows, in + g->columns, in * ES_KEPT + ES_STEP_N},
                    {column > 0, in - 1, (in - 1) * ES_KEPT + ES_STEP_E},
                    {row > 0, in - g->columns, (in - g->columns) * ES_KEPT + ES_STEP_N}};
        for (size_t i = 0; i < 4; i++) {
            if (!next[i].there || outdoor[next[i].to] || d->closed[next[i].step]) continue;
            outdoor[next[i].to] = 1;
            stack[n++] = next[i].to;
        }
    }
    for (size_t in = 0; in < g->n_cells; in++)
        if (outdoor[in] && under_sheet(g, d->deck, centre(g, in))) outdoor[in] = 0;
}

static bool in_hole(const es_sheet *sheet, earshot_point p)
{
    for (size_t i = 0; i < sheet->n_holes; i++)
        if (es_polygon_contains(sheet->hole[i], sheet->n_hole[i], p, 0.0)) return true;
    return false;
}

static void count_slabs(es_route_grid *g, size_t deck)
{
    size_t n;
    const es_sheet *sheet = es_geometry_sheets(g->site.geometry, &n);
    for (size_t i = 0; i < n; i++) {
        const unsigned char barrier = g->site.barrier[sheet[i].element];
        if (sheet[i].z_m <= g->run_m[deck] || sheet[i].z_m >= g->run_m[deck + 1] || barrier == ES_BARRIER_NONE)
            continue;
        for (size_t in = 0; in < g->n_cells; in++) {
            const earshot_point p = centre(g, in);
            uint8_t *slabs = &g->slabs[deck * g->n_cells + in];
            if (*slabs >= ES_HOLES_SHUT - 1 || !es_polygon_contains(sheet[i].outline, sheet[i].n_outline, p, 0.0))
                continue;
            if (in_hole(&sheet[i], p)) continue;
            if (barrier == ES_BARRIER_SHUT)
                *slabs = ES_HOLES_SHUT;
            else
                ++*slabs;
        }
    }
}

static earshot_status draw(es_route_grid *g)
{
    drawing d = {
        .grid = g, .closed = malloc(g->n_cells * ES_KEPT), .spot = malloc(g->n_cells * ES_KEPT * sizeof(float))};
    size_t *stack = malloc(g->n_cells * sizeof *stack);
    const bool room = d.closed && d.spot && stack;
    for (; room && d.deck < g->site.n_decks; d.deck++) {
        memset(d.closed, 0, g->n_cells * ES_KEPT);
        for (size_t i = 0; i < g->faces.n; i++) draw_face(&d, &g->faces.item[i]);
        flood_outdoors(&d, stack);
        if (d.deck + 1 < g->site.n_decks) count_slabs(g, d.deck);
    }
    free(d.closed);
    free(d.spot);
    free(stack);
    return room ? EARSHOT_OK : EARSHOT_MEMORY;
}

/* --- the grid -------------------------------------------------------------------------------------------------- */

static bool is_price(double price)
{
    return price >= 0.0 && price <= 1e6;
}

static bool is_fine(const es_route_site *s)
{
    const es_route_prices *p = &s->prices;
    if (!s->n_decks || !(s->cell_m >= 0.01 && s->cell_m <= 10.0) || s->max_cells < 100) return false;
    if (!(s->low.x_m <= s->high.x_m && s->low.y_m <= s->high.y_m)) return false;
    for (size_t i = 0; i < s->n_decks; i++)
        if (!isfinite(s->deck[i].level_m) || !(s->deck[i].height_m > 0.0)) return false;
    for (size_t i = 1; i < s->n_decks; i++)
        if (!(s->deck[i].level_m > s->deck[i - 1].level_m)) return false;
    return isfinite(s->high.x_m - s->low.x_m) && isfinite(s->high.y_m - s->low.y_m) && is_price(p->along_wall) &&
           is_price(p->across_room) && is_price(p->outdoor) && is_price(p->drilled_wall) && is_price(p->drilled_slab);
}

/* The first centre is moved by odd parts of a cell, so that centres do not lie on walls drawn to the centimetre. */
static void lay_out(es_route_grid *g)
{
    const es_route_site *s = &g->site;
    const double width = s->high.x_m - s->low.x_m + 2.0 * AROUND_M, depth = s->high.y_m - s->low.y_m + 2.0 * AROUND_M;
    g->cell_m = fmax(s->cell_m, sqrt(width * depth * (double)s->n_decks / (double)s->max_cells));
    g->x0_m = s->low.x_m - AROUND_M - 0.1180339887 * g->cell_m;
    g->y0_m = s->low.y_m - AROUND_M - 0.0729490169 * g->cell_m;
    g->columns = (size_t)ceil(width / g->cell_m) + 2;
    g->rows = (size_t)ceil(depth / g->cell_m) + 2;
    g->n_cells = g->columns * g->rows;
}

static bool take_arrays(es_route_grid *g)
{
    const size_t n = g->n_cells * g->site.n_decks;
    g->run_m = malloc(g->site.n_decks * sizeof *g->run_m);
    g->holes = calloc(n, ES_KEPT);
    g->slabs = calloc(n, 1);
    g->outdoor = calloc(n, 1);
    g->near_wall = calloc(n, 1);
    es_deck *deck = malloc(g->site.n_decks * sizeof *deck);
    unsigned char *barrier = malloc(g->site.n_elements + 1);
    if (deck) memcpy(deck, g->site.deck, g->site.n_decks * sizeof *deck);
    if (barrier && g->site.n_elements) memcpy(barrier, g->site.barrier, g->site.n_elements);
    g->site.deck = deck;
    g->site.barrier = barrier;
    return g->run_m && g->holes && g->slabs && g->outdoor && g->near_wall && deck && barrier;
}

earshot_status es_route_grid_new(const es_route_site *site, es_route_grid **grid)
{
    *grid = NULL;
    if (!is_fine(site)) return EARSHOT_ARGUMENT;
    es_route_grid *g = calloc(1, sizeof *g);
    if (!g) return EARSHOT_MEMORY;
    g->site = *site;
    lay_out(g);
    earshot_status status = take_arrays(g) ? es_route_faces_new(&g->site, &g->faces) : EARSHOT_MEMORY;
    for (size_t i = 0; !status && i < site->n_decks; i++) {
        const es_deck *deck = &site->deck[i];
        g->run_m[i] = deck->level_m + fmax(deck->height_m - BELOW_CEILING_M, 0.5 * deck->height_m);
    }
    if (!status) status = draw(g);
    if (status)
        es_route_grid_free(g);
    else
        *grid = g;
    return status;
}

void es_route_grid_free(es_route_grid *g)
{
    if (!g) return;
    es_route_faces_clear(&g->faces);
    free(g->run_m);
    free(g->holes);
    free(g->slabs);
    free(g->outdoor);
    free(g->near_wall);
    free((void *)g->site.deck);
    free((void *)g->site.barrier);
    free(g);
}

double es_route_grid_cell_m(const es_route_grid *g)
{
    return g->cell_m;
}
