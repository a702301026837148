/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Antennas: short elements and half-wave dipoles, upright or lying. */
#include <math.h>

#include "base/units.h"
#include "propagation/rays_inner.h"

/* What an antenna sends into, or takes from, each component of a ray that leaves it at an angle of the ground plan, as
 * an amplitude relative to isotropic. The upright component points down when the ray is level. An isotropic antenna
 * takes the upright component, as most devices on walls do by and large. Short element: sqrt(1.5) times the sine of the
 * angle between it and the ray; half-wave dipole: sqrt(1.64) cos(pi/2 cos) / sin (textbook forms, from memory). */
void es_rays_pattern(earshot_antenna antenna, double angle_rad, rays_climb ray, double gain[2])
{
    gain[RAYS_UPRIGHT] = 1.0;
    gain[RAYS_LEVEL] = 0.0;
    if (antenna == EARSHOT_ANTENNA_ISOTROPIC) return;
    const bool x = antenna == EARSHOT_ANTENNA_HORIZONTAL_X || antenna == EARSHOT_ANTENNA_DIPOLE_X;
    const bool y = antenna == EARSHOT_ANTENNA_HORIZONTAL_Y || antenna == EARSHOT_ANTENNA_DIPOLE_Y;
    const double along = x ? cos(angle_rad) : y ? sin(angle_rad) : 0.0;
    const double across = x ? -sin(angle_rad) : y ? cos(angle_rad) : 0.0;
    const double cosine = x || y ? ray.sine * along : ray.cosine, sine2 = 1.0 - cosine * cosine;
    double strength = sqrt(1.5);
    if (antenna >= EARSHOT_ANTENNA_DIPOLE_VERTICAL)
        strength = sine2 > 1e-12 ? sqrt(1.64) * cos(ES_PI / 2.0 * cosine) / sine2 : 0.0;
    gain[RAYS_UPRIGHT] = strength * (x || y ? ray.cosine * along : -ray.sine);
    gain[RAYS_LEVEL] = strength * across;
}
