/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a plane slab of one or many layers lets through and throws back, at an angle and for both polarisations.
 *
 * Time goes as e^{+jwt}, a wave travelling over a distance s as e^{-jks}. Index ES_TE: E perpendicular to the plane of
 * incidence; ES_TM: E in that plane, H perpendicular to it. The signs are those usual with the uniform theory of
 * diffraction: with e the unit vector perpendicular to the plane of incidence and s a direction of travel, the TM part
 * of E is counted along s x e, before and after the slab. So a conductor has r = -1 for TE and +1 for TM. */
#ifndef ES_SLAB_H
#define ES_SLAB_H

#include <complex.h>

#include "propagation/material.h"

enum { ES_TE, ES_TM };

/* Layers by themselves, air on both sides. t: from the front face to the back face; r: at the front face. Bound to
 * |t|, |r| <= 1 by rounding only; a thick lossy layer gives t near 0 and never overflows; a conductor gives t = 0.
 * n may be 0 (nothing there: t = 1, r = 0). cos_theta: of the angle from the normal, 0 to 1; below 1e-6 it counts as
 * that. frequency_hz above 0. */
void es_slab_layers(const es_layer *layer, size_t n, double frequency_hz, double cos_theta, double complex t[2],
                    double complex r[2]);

/* The factor e^{+jktC} that carries t and r of a slab of this thickness from its faces to its centre plane. */
double complex es_slab_to_centre(double thickness_m, double frequency_hz, double cos_theta);

/* A material as a sheet without thickness on its centre plane, |t|^2 + |r|^2 <= 1 in each polarisation.
 * Without a loss table: its layers. With one: |t| follows the table (docs/model/wall-loss.md says how it changes with
 * angle), its phase and r are those of the layers; a material without layers has phase 0 and reflects as brick does.
 * A correction by readings scales |t|.
 * A plan does not say which side of a wall is the front: r is that of the first layer, from either side. */
void es_slab_coefficients(const es_material *material, double frequency_hz, double cos_theta, double complex t[2],
                          double complex r[2]);

#endif
