/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The upright faces that cables meet: panels and the sides of blocks. */
#ifndef ES_ROUTE_FACES_H
#define ES_ROUTE_FACES_H

#include "decide/route.h"

typedef struct es_route_face {
    earshot_point a, b;
    double z0_m, z1_m;
    size_t element;
} es_route_face;

/* Bounds of a run of faces. */
typedef struct es_route_face_box {
    earshot_point low, high;
} es_route_face_box;

typedef struct es_route_faces {
    es_route_face *item; /* [n] panels first, then the sides of blocks */
    size_t n;
    es_route_face_box *box; /* of each ES_ROUTE_FACES_A_BOX of them */
} es_route_faces;

enum { ES_ROUTE_FACES_A_BOX = 32 };

/* All faces of elements that are a barrier. EARSHOT_OK, EARSHOT_MEMORY; clear in any case. */
earshot_status es_route_faces_new(const es_route_site *site, es_route_faces *faces);
void es_route_faces_clear(es_route_faces *faces);

typedef void es_route_face_visit(void *context, const es_route_face *face);

/* Visit, in order, at least every face that comes within margin_m of the rectangle about p and q. */
void es_route_faces_near(const es_route_faces *faces, earshot_point p, earshot_point q, double margin_m,
                         es_route_face_visit *visit, void *context);

#endif
