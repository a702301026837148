/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colours of pictures. */
#ifndef ES_RAMP_H
#define ES_RAMP_H

/* Red, green and blue of sRGB, 0 to 1. */
typedef struct es_colour {
    double red, green, blue;
} es_colour;

/* Grey of lines and letters, a little softer than black. */
#define ES_INK 0.10

/* The margins that the ramp spans; beyond, its ends. */
#define ES_RAMP_LOW_DB (-20.0)
#define ES_RAMP_HIGH_DB 60.0

/* Share 0 (dark) to 1 (bright) of the ramp: a straight line through CIE L*a*b* from dark blue over grey to yellow, so
 * that equal steps look equal, lightness rises all the way (it prints in grey), and red against green is not needed to
 * read it. */
es_colour es_ramp_at(double share);
es_colour es_ramp_of_margin(double dependable_db);

#endif
