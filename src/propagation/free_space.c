/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "base/units.h"
#include "earshot/propagation.h"

/* ITU-R P.525, free-space basic transmission loss between isotropic antennas: 20 log10(4 pi d / lambda). */
double earshot_free_space_db(double distance_m, double frequency_hz)
{
    if (!isfinite(distance_m) || !isfinite(frequency_hz) || distance_m <= 0.0 || frequency_hz <= 0.0) return NAN;
    return 20.0 * log10(4.0 * ES_PI * distance_m * frequency_hz / ES_LIGHT_M_S);
}
