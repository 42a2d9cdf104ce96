; arcs with centres, comments after semicolons
G21 G90 G17 G94 G54 G40 G49
G0 Z20 ; lift
M3 S18000
G4 P5
G0 X80 Y60
G0 Z2
G1 Z0 F300
G3 X80 Y60 Z-1.2 I-20 J0 F1750 ; helix down
G3 X80 Y60 Z-2.4 I-20 J0
G3 X80 Y60 I-20 J0 ; clean floor
G0 Z20
M5
M30
