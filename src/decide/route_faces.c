/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The upright faces of a site. Faces that follow each other mostly stand near each other, so a box about every few of
 * them spares most of them a look. */
#include "decide/route_faces.h"

#include <math.h>
#include <stdlib.h>

static size_t count(const es_route_site *site)
{
    size_t n_panels, n_prisms;
    es_geometry_panels(site->geometry, &n_panels);
    const es_prism *prism = es_geometry_prisms(site->geometry, &n_prisms);
    size_t n = n_panels;
    for (size_t i = 0; i < n_prisms; i++) n += prism[i].n_outline;
    return n;
}

static void add(es_route_faces *faces, const es_route_site *site, es_route_face face)
{
    if (site->barrier[face.element] != ES_BARRIER_NONE) faces->item[faces->n++] = face;
}

static void add_all(es_route_faces *faces, const es_route_site *site)
{
    size_t n;
    const es_panel *panel = es_geometry_panels(site->geometry, &n);
    for (size_t i = 0; i < n; i++) {
        const es_panel *p = &panel[i];
        add(faces, site, (es_route_face){{p->ax_m, p->ay_m}, {p->bx_m, p->by_m}, p->z0_m, p->z1_m, p->element});
    }
    const es_prism *prism = es_geometry_prisms(site->geometry, &n);
    for (size_t i = 0; i < n; i++) {
        const es_prism *p = &prism[i];
        for (size_t k = 0; k < p->n_outline; k++)
            add(faces, site,
                (es_route_face){p->outline[k], p->outline[(k + 1) % p->n_outline], p->z0_m, p->z1_m, p->element});
    }
}

static void include(es_route_face_box *box, earshot_point p)
{
    box->low.x_m = fmin(box->low.x_m, p.x_m);
    box->low.y_m = fmin(box->low.y_m, p.y_m);
    box->high.x_m = fmax(box->high.x_m, p.x_m);
    box->high.y_m = fmax(box->high.y_m, p.y_m);
}

static void set_boxes(es_route_faces *faces)
{
    for (size_t i = 0; i < faces->n; i++) {
        es_route_face_box *box = &faces->box[i / ES_ROUTE_FACES_A_BOX];
        if (i % ES_ROUTE_FACES_A_BOX == 0) *box = (es_route_face_box){{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
        include(box, faces->item[i].a);
        include(box, faces->item[i].b);
    }
}

earshot_status es_route_faces_new(const es_route_site *site, es_route_faces *faces)
{
    const size_t n = count(site);
    *faces = (es_route_faces){.item = malloc((n + 1) * sizeof *faces->item),
                              .box = malloc((n / ES_ROUTE_FACES_A_BOX + 1) * sizeof *faces->box)};
    if (!faces->item || !faces->box) return EARSHOT_MEMORY;
    add_all(faces, site);
    set_boxes(faces);
    return EARSHOT_OK;
}

void es_route_faces_clear(es_route_faces *faces)
{
    free(faces->item);
    free(faces->box);
    *faces = (es_route_faces){0};
}

static bool meet(const es_route_face_box *a, const es_route_face_box *b)
{
    return a->low.x_m <= b->high.x_m && b->low.x_m <= a->high.x_m && a->low.y_m <= b->high.y_m &&
           b->low.y_m <= a->high.y_m;
}

void es_route_faces_near(const es_route_faces *faces, earshot_point p, earshot_point q, double margin_m,
                         es_route_face_visit *visit, void *context)
{
    const es_route_face_box here = {{fmin(p.x_m, q.x_m) - margin_m, fmin(p.y_m, q.y_m) - margin_m},
                                    {fmax(p.x_m, q.x_m) + margin_m, fmax(p.y_m, q.y_m) + margin_m}};
    for (size_t first = 0; first < faces->n; first += ES_ROUTE_FACES_A_BOX) {
        if (!meet(&faces->box[first / ES_ROUTE_FACES_A_BOX], &here)) continue;
        for (size_t i = first; i < faces->n && i < first + ES_ROUTE_FACES_A_BOX; i++) visit(context, &faces->item[i]);
    }
}
