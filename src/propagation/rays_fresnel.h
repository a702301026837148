/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Transition functions of the rays model. */
#ifndef ES_RAYS_FRESNEL_H
#define ES_RAYS_FRESNEL_H

#include <complex.h>

/* Table for the functions below, the caller's to free; NULL when memory is out. */
double complex *es_rays_fresnel_new(void);
/* F(x) of R. G. Kouyoumjian and P. H. Pathak, Proc. IEEE 62(11), 1974. x >= 0. */
double complex es_rays_transition(const double complex *fresnel, double x);
/* Square root of k times the detour over an edge, > 0, and F of its square. */
typedef struct rays_detour {
    double root;
    double complex transition;
} rays_detour;

rays_detour es_rays_detour(const double complex *fresnel, double root);
/* What takes the place of F(a^2) F(b^2) for a ray by way of two edges: -4ab Q, Q the Fresnel integral over two screens
 * in a row, its corner in the middle (the double knife edge; G. Millington, R. Hewitt and F. S. Immirzi, Proc. IEE 109
 * B, 1962, from memory). a, b: the detours' roots. w: how much the edges have to do with each other,
 * sqrt(s' s / ((s' + m)(m + s))) with m between them, positive when the ray bends the same way at both; |w| < 1. For
 * w = 0 it is F(a^2) F(b^2). */
double complex es_rays_pair_transition(const double complex *fresnel, rays_detour first, rays_detour second, double w);

#endif
