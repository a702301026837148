/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The grid that cables are routed on. */
#ifndef ES_ROUTE_GRID_H
#define ES_ROUTE_GRID_H

#include <stdint.h>

#include "decide/route.h"
#include "decide/route_faces.h"

/* Steps: the first four are kept with the cell they start from, their opposites with the other cell. */
enum {
    ES_STEP_E,
    ES_STEP_N,
    ES_STEP_NE,
    ES_STEP_NW,
    ES_STEP_W,
    ES_STEP_S,
    ES_STEP_SW,
    ES_STEP_SE,
    ES_STEP_UP,
    ES_STEP_DOWN,
    ES_STEPS,
    ES_KEPT = 4
};
enum { ES_HOLES_SHUT = 255 };

struct es_route_grid {
    es_route_site site;
    es_route_faces faces;
    double x0_m, y0_m, cell_m;     /* centre of the first cell */
    size_t columns, rows, n_cells; /* n_cells of one deck */
    double *run_m;                 /* [n_decks] height of the cables, above level 0 */
    uint8_t *holes;                /* [n_decks * n_cells][ES_KEPT] walls to drill on a step */
    uint8_t *slabs;                /* [n_decks * n_cells] slabs to drill on the step up */
    uint8_t *outdoor;              /* [n_decks * n_cells] */
    uint8_t *near_wall;            /* [n_decks * n_cells] */
};

extern const int es_step_column[ES_STEPS], es_step_row[ES_STEPS];

/* One step from a cell. */
typedef struct es_step {
    size_t to;
    double length_m;
    unsigned walls, slabs;
} es_step;

/* @return false if there is no such step. */
bool es_route_step(const es_route_grid *grid, size_t cell, unsigned direction, es_step *step);

earshot_vec3 es_route_centre(const es_route_grid *grid, size_t cell);
double es_route_rate(const es_route_grid *grid, size_t cell);
/* Deck of a height. */
size_t es_route_deck(const es_route_grid *grid, double z_m);

/* Does a panel or the face of a block stand at a height? Where does the line p-q meet it: share of the way, or -1. */
bool es_route_stands(double z0_m, double z1_m, double z_m);
double es_route_meets(earshot_point a, earshot_point b, earshot_point p, earshot_point q);

/* Walls to drill on the straight line p-q at the height of a deck's cables, ES_HOLES_SHUT if there is no way; a wall
 * that p is fixed to does not count. `element` (may be NULL) receives up to `limit` of them, *n is counted up. */
unsigned es_route_walls(const es_route_grid *grid, size_t deck, earshot_point p, earshot_point q, size_t *element,
                        size_t limit, size_t *n);
/* Blocks that a place lies in. */
unsigned es_route_blocks(const es_route_grid *grid, earshot_vec3 place, double to_m);

#endif
