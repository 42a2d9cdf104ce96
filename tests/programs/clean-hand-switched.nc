(for a router switched by hand)
G21 G90 G17 G94 G54 G40 G49
G0 Z20
G0 X60 Y60
M0 (switch on, then resume)
G0 Z1
G1 X120 Z-2 F1600
G1 X60
G0 Z20
M0 (switch off)
M2
