"""How words are said, by the program that the product asks; all tests of a process share what it answered."""

from handsfree.pronunciation import Espeak

pronounce = Espeak().pronounce
