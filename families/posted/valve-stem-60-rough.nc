%
o1301 (Stem 60, rough turning, posted by the office)
(roughing tool 80 degrees, leaves 0.4 on diameters)
t0101
g54 g21 g18 g40 g99
g50 s3000
g96 s140 m3
g0 z+2.0 m8
g0 x17.0
x13.20
g1 z-41.80 f.18
x17.0
g0 z2.
x10.4 (seal)
g1 z-41.8
x 14.2
g0 z2.
x8.3 (thread)
g1 z-25.8
x 11.4
g0 z2.
x6.4 (tip)
g1 z-11.8
x9.3
g0 x130.
m9
m5
m30
%
