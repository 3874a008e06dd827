"""What a case lacks before its report is reviewed, and where its record contradicts itself."""
