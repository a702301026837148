/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench_embree.h"

#include <math.h>
#include <stdlib.h>

#include <embree3/rtcore.h>

struct bench_embree {
    RTCDevice device;
    RTCScene scene;
};

typedef struct counter {
    struct RTCIntersectContext context; /* first, so that the filter finds the rest */
    size_t crossed;
} counter;

/* Count the hit and refuse it, so that the search goes on to the next. */
static void refuse(const struct RTCFilterFunctionNArguments *hit)
{
    ((counter *)hit->context)->crossed++;
    hit->valid[0] = 0;
}

static void set_corner(float *corner, double x, double y, double z)
{
    corner[0] = (float)x;
    corner[1] = (float)y;
    corner[2] = (float)z;
}

bench_embree *bench_embree_new(const es_panel *panel, size_t n)
{
    bench_embree *e = calloc(1, sizeof *e);
    if (!e) return NULL;
    e->device = rtcNewDevice("threads=1");
    e->scene = rtcNewScene(e->device);
    rtcSetSceneBuildQuality(e->scene, RTC_BUILD_QUALITY_HIGH);
    RTCGeometry walls = rtcNewGeometry(e->device, RTC_GEOMETRY_TYPE_TRIANGLE);
    float *corner =
        rtcSetNewGeometryBuffer(walls, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof *corner, 4 * n);
    unsigned *triangle =
        rtcSetNewGeometryBuffer(walls, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof *triangle, 2 * n);
    for (size_t i = 0; i < n; i++) {
        const es_panel *p = &panel[i];
        set_corner(corner + 12 * i, p->ax_m, p->ay_m, p->z0_m);
        set_corner(corner + 12 * i + 3, p->bx_m, p->by_m, p->z0_m);
        set_corner(corner + 12 * i + 6, p->bx_m, p->by_m, p->z1_m);
        set_corner(corner + 12 * i + 9, p->ax_m, p->ay_m, p->z1_m);
        const unsigned first = (unsigned)(4 * i), of[] = {0, 1, 2, 0, 2, 3};
        for (size_t k = 0; k < 6; k++) triangle[6 * i + k] = first + of[k];
    }
    rtcSetGeometryOccludedFilterFunction(walls, refuse);
    rtcCommitGeometry(walls);
    rtcAttachGeometry(e->scene, walls);
    rtcReleaseGeometry(walls);
    rtcCommitScene(e->scene);
    return e;
}

void bench_embree_free(bench_embree *embree)
{
    if (!embree) return;
    rtcReleaseScene(embree->scene);
    rtcReleaseDevice(embree->device);
    free(embree);
}

size_t bench_embree_cross(bench_embree *embree, const earshot_vec3 *from, const earshot_vec3 *to, size_t n)
{
    counter count;
    rtcInitIntersectContext(&count.context);
    count.crossed = 0;
    for (size_t i = 0; i < n; i++) {
        struct RTCRay ray = {.org_x = (float)from[i].x_m,
                             .org_y = (float)from[i].y_m,
                             .org_z = (float)from[i].z_m,
                             .dir_x = (float)(to[i].x_m - from[i].x_m),
                             .dir_y = (float)(to[i].y_m - from[i].y_m),
                             .dir_z = (float)(to[i].z_m - from[i].z_m),
                             .tfar = 1,
                             .mask = 0xffffffffu};
        rtcOccluded1(embree->scene, &count.context, &ray);
    }
    return count.crossed;
}
