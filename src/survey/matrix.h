/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small dense matrices, row-major, n * n. GSL's own Cholesky raises through its error handler, which a library may not
 * touch, when a matrix is not positive definite; ours says so. */
#ifndef ES_MATRIX_H
#define ES_MATRIX_H

#include <stdbool.h>
#include <stddef.h>

/* Lower triangle L of a = L L^T in the lower triangle of a; what is above the diagonal is left alone. false: a is not
 * positive definite. */
bool es_cholesky(double *a, size_t n);
/* x = L^-1 x and x = L^-T x, of a vector. */
void es_solve_lower(const double *l, size_t n, double *x);
void es_solve_upper(const double *l, size_t n, double *x);
/* The whole of (L L^T)^-1. work[n] is used. */
void es_cholesky_inverse(const double *l, size_t n, double *inverse, double *work);
/* Sum of the logarithms of L's diagonal: half the logarithm of the determinant of L L^T. */
double es_cholesky_log(const double *l, size_t n);
double es_dot(const double *a, const double *b, size_t n);
/* a^T m b with m of n * n. */
double es_bilinear(const double *a, const double *m, const double *b, size_t n);

#endif
